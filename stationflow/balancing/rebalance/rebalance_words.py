"""A rebalanced plan in words."""

from stationflow.balancing.time_words import count
from stationflow.model import Rebalanced
from stationflow.model.plan import MOVES_ALONE


def moves_words(made: Rebalanced) -> str:
    """Return how many tasks move, and whether that is proven to be least.

    >>> moves_words(Rebalanced(is_least=True))
    'No task moves.'
    """
    moves = len(made.moves)
    said = f"{count(moves, 'task')} move{'s' if moves == 1 else ''}." if moves else "No task moves."
    if made.weights != MOVES_ALONE:
        reached = made.upheaval.weighed(made.weights)
        proven = "proven" if made.is_least else f"not proven; between {made.least} and {reached}"
        return f"{said} Least upheaval by the weights: {proven}."
    if made.is_least:
        return f"{said} Proven: no such plan moves fewer." if moves else said
    return f"{said} Not proven: at least {count(made.least, 'task')} must."


def station_words(made: Rebalanced) -> tuple[str, ...]:
    """Return what becomes of the stations, in sentences."""
    new = [str(at) for at, was in enumerate(made.was, 1) if was is None]
    other = [
        f"{was} is now {at}" for at, was in enumerate(made.was, 1) if was is not None and was != at
    ]
    said = []
    if new:
        said.append(f"New: {_stations(new)}.")
    if made.closed:
        said.append(f"Closed: old {_stations([str(number) for number in made.closed])}.")
    if other:
        said.append(f"Renumbered: old station {', '.join(other)}.")
    return tuple(said)


def _stations(numbers: list[str]) -> str:
    return f"station{'s' * (len(numbers) > 1)} {', '.join(numbers)}"
