"""A way out of what is impossible: what to enter or to ask otherwise."""

from dataclasses import dataclass

from stationflow.model.cell_place import CellPlace

Entered = None | bool | int | float | str | tuple[str, ...]
"""A value that limits are entered with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEntry:
    """One value of the product that is entered otherwise."""

    place: CellPlace
    was: Entered = None
    value: Entered = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """Changes with which the line can be done; that was tried before it is offered."""

    said: str
    entries: tuple[NewEntry, ...] = ()  # of the product
    # limit, stations: what to ask for instead; None: as before
    limit: float | None = None
    stations: int | None = None
