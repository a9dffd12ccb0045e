"""An answer without a plan, with the smallest clash and the ways out in its findings."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations
from time import monotonic

from stationflow.balancing.impossible.line_question import Asking, LineQuestion
from stationflow.balancing.impossible.smallest_clash import Member, Part, smallest_clash
from stationflow.balancing.impossible.ways_out import ways_out
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, Ending, Finding, by_severity, error
from stationflow.model.way_out import WayOut

EXPLAINED_S = 10.0
"""So long, in seconds, the smallest clash and the ways out of it are looked for."""

MOST_SAID = 12
"""Members of a clash that are said; a smallest one has hardly more."""

WAYS = "Ways out, each tried: "
"""How the ways out begin in a hint."""

CODES = ("limits-clash", "line-impossible", "task-longer-than-limit")


def with_ways_out(
    work: LineWork, result: BalanceResult, *, seconds: float = EXPLAINED_S
) -> BalanceResult:
    """Return a result that has no plan with why there is none, and ways out that were tried.

    Where a method found nothing and it is proven here that there is nothing, that is said too.
    """
    if result.ending not in (Ending.IMPOSSIBLE, Ending.NOTHING_FOUND):
        return result
    asked = result.asked
    question = LineQuestion(
        work=work.pinned(asked.pins), limit=result.limit, stations=asked.stations
    )
    began = monotonic()
    asking = Asking(began + min(seconds, asked.seconds or seconds))
    clash = smallest_clash(question, asking)
    if not clash:
        return result
    is_smallest, spent = asking.is_all_known, monotonic() - began
    ways = ways_out(question, clash, asking)
    others = [f for f in result.findings if f.code not in ("limits-clash", "nothing-found")]
    first = next((f for f in others if f.code in CODES), None)
    if first is not None:  # it says by numbers why; how to get out is added
        others[others.index(first)] = replace(first, hint=f"{first.hint} {_hint(ways)}".strip())
    else:
        others.append(_finding(work, clash, ways, is_smallest=is_smallest, seconds=spent))
    proof = replace(result.proof, ending=Ending.IMPOSSIBLE)
    return replace(result, findings=by_severity(others), ways_out=ways, proof=proof)


def _finding(
    work: LineWork,
    clash: Sequence[Member],
    ways: Sequence[WayOut],
    *,
    is_smallest: bool,
    seconds: float,
) -> Finding:
    said = dict.fromkeys(member.said for member in clash if member.part != Part.ARROW)
    chains = _chains([member.arrow for member in clash if member.part == Part.ARROW])
    order = [f"the order {', '.join(work.numbers[task] for task in chain)}" for chain in chains]
    named = [*said, *order]
    more = [f"and {len(named) - MOST_SAID} more"] if len(named) > MOST_SAID else []
    what = "These cannot all hold" if is_smallest else "Some of these cannot all hold"
    message = f"{what}: {'; '.join([*named[:MOST_SAID], *more])}."
    if not is_smallest:
        message += f" The search for a smaller clash ended after {seconds:.0f} s."
    return error("limits-clash", f"Line {work.line}", message, _hint(ways))


def _chains(arrows: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Return arrows as rows of tasks, each before the next."""
    chains = [list(arrow) for arrow in arrows]
    found = True
    while found:
        found = False
        for one, other in permutations(chains, 2):
            if one[-1] == other[0]:
                one += other[1:]
                chains.remove(other)
                found = True
                break
    return chains


def _hint(ways: Sequence[WayOut]) -> str:
    """Return the ways out in a sentence; empty: none was found."""
    if not ways:
        return ""
    numbered = (f"({at}) {way.said}" for at, way in enumerate(ways, 1))
    return f"{WAYS}{'; '.join(numbered)}."
