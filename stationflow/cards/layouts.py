"""Which sheet suits the cards of a line: the one on which most of them take one page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stationflow.cards.card import Card
from stationflow.cards.paper import Paper, sheet_for
from stationflow.cards.printing import page_counts
from stationflow.errors import CardError

LOOKED_AT = 40
"""Cards of a line that are counted; of more every second, third ... one."""
USUAL = (Paper.A4, Paper.A3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A way to print cards, and how many of those looked at take one page so."""

    paper: Paper
    portrait: bool
    on_one_page: int
    looked_at: int
    pages: int  # of all that were looked at


def layouts(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper | None = None,
    portrait: bool | None = None,
    large_print: bool = False,
) -> tuple[Layout, ...]:
    """Return the ways to print cards that were looked at, the best first.

    The best is the one in which most cards take one page, of equals the one of fewest pages, and
    then the upright one, whose columns leave more room for pictures. A3 is looked at only where
    less than half of the cards take one page of A4, and not for a large print: not every printer
    has it.

    Parameters
    ----------
    paper, portrait
        What is given already; None: to be chosen.

    Raises
    ------
    CardError
        If there are no cards, or they could not be set.
    """
    if not cards:
        raise CardError("There are no cards to print.", "Balance the line first.")
    shown = cards[:: -(-len(cards) // LOOKED_AT)]
    looked_at: list[Layout] = []
    for size in (paper,) if paper else USUAL[: 1 if large_print else 2]:
        if any(2 * way.on_one_page >= way.looked_at for way in looked_at):
            break
        ways = (True, False) if portrait is None else (portrait,)
        sheets = [sheet_for(size, upright, large_print) for upright in ways]
        for upright, counts in zip(ways, page_counts(shown, pictures, sheets), strict=True):
            looked_at.append(
                Layout(
                    paper=size,
                    portrait=upright,
                    on_one_page=counts.count(1),
                    looked_at=len(counts),
                    pages=sum(counts),
                )
            )
    return tuple(sorted(looked_at, key=lambda way: (-way.on_one_page, way.pages)))
