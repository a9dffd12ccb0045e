"""The search made ready: compiled once for each machine, loaded once in each process."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from functools import cache

from stationflow.balancing.arrows import turned
from stationflow.balancing.exact import tree
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.exact.limited.limited_hunt import Question, Seen
from stationflow.balancing.exact.one_at_a_time import alone, is_made, note_made
from stationflow.balancing.limits.forms import NO_FORMS, Forms, Pairs, Turns, forms_in
from stationflow.balancing.problem import BalanceProblem


def prepare(announce: Callable[[], None], *, limited: bool = False) -> None:
    """Make the search ready; `announce` is called once if something is compiled for it.

    `limited`: that of lines with limits too.

    Another process that compiles it just now is waited for, and announced too.
    """
    prepare_by("search", announce, _search_once, *([_search_limited_once] if limited else []))


def prepare_by(what: str, announce: Callable[[], None], *runs: Callable[[], None]) -> None:
    """Do what compiles something, alone with `what`; `announce` is called if that takes time.

    What lies on disk is loaded without waiting for who does the same, perhaps at a low priority.
    """
    from numba.core.event import Event, Listener, install_listener

    class Compiling(Listener):  # type: ignore[misc]  # numba has no types
        """Hears of a compilation; loading what lies on disk is none."""

        told = False

        def on_start(self, event: Event) -> None:
            self.tell()

        def tell(self) -> None:
            if not self.told:
                self.told = True
                announce()

        def on_end(self, event: Event) -> None:
            """Wait for the next."""

    told, name = Compiling(), "-".join((what, *(run.__name__ for run in runs)))
    is_on_disk = is_made(name)
    with (
        install_listener("numba:compile", told),
        nullcontext() if is_on_disk else alone(what, told.tell),
    ):
        for run in runs:
            run()
        if not is_on_disk:
            note_made(name)


@cache
def _search_limited_once() -> None:
    """Search a small line with limits through all parts of its search."""
    forms = forms_in((Pairs((0,), (1,), ""), Turns(((2,), (3,)), 1, "")))
    question = Question(Seen(_small_line(forms), 3), 10, Means(memory_bytes=1 << 20))
    while not question.is_closed:
        question.step()


@cache
def _search_once() -> None:
    """Search a small line through all parts of the search."""
    hunt = Hunt(_small_line(NO_FORMS), 10, 1, 4, Means(memory_bytes=1 << 20))
    hunt.start(lambda: False)  # there is no hurry
    hunt.pack(lambda: False)
    first = tree.Tree(hunt.line_from_start(), 4, 2 * tree.FIRST_NODES)
    first.search(tree.FIRST_NODES, 10, 1)
    first.grow()


def _small_line(forms: Forms) -> BalanceProblem:
    predecessors = ((), (), (0,), (0, 1), (2,), (3,))
    return BalanceProblem(
        times=(6, 5, 4, 5, 6, 4),
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=10,
        forms=forms,
    )
