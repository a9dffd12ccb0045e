"""The least upheaval of a small line by trying: every plan, and every way to tell its stations.

Nothing of the package is asked; it is the outside against which rebalancing is held.
"""

from collections.abc import Iterator, Mapping

from limited_lines import every_plan

from stationflow.balancing.work import LineWork

Was = tuple[int | None, ...]


def identities(many: int, old: tuple[int, ...]) -> Iterator[Was]:
    """Yield every way in which so many new stations can be old ones, rising along the line."""
    if not many:
        yield ()
        return
    for rest in identities(many - 1, old):
        yield (*rest, None)
        last = max((number for number in rest if number is not None), default=0)
        yield from ((*rest, number) for number in old if number > last)


def moves_of(work: LineWork, plan: tuple[int, ...], was: Was, before: Mapping[str, int]) -> int:
    """Return how many tasks of an old plan are no longer at their station."""
    return sum(
        number in before and was[at - 1] != before[number]
        for number, at in zip(work.numbers, plan, strict=True)
    )


def least_moves(
    work: LineWork, limit: int, most: int, old: tuple[int, ...], before: Mapping[str, int]
) -> int | None:
    """Return the fewest moves of any plan of at most so many stations; None: there is no plan."""
    every = list(identities(most, old))
    return min(
        (
            moves_of(work, plan, was, before)
            for plan in every_plan(work, limit, most)
            for was in every
        ),
        default=None,
    )
