"""What is done to a plan by hand, step by step, before it is kept as a plan of its own."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class HandAct(StrEnum):
    """What a step does."""

    MOVE = "move"  # a task, with those kept together with it, to a place at a station
    INSERT = "insert"  # an empty station
    EMPTY = "empty"  # the tasks of a station go to others
    REMOVE = "remove"  # an empty station
    PIN = "pin"  # a task stays at its station, or is free again
    LOCK = "lock"  # a station stays as it is, or is free again


@dataclass(frozen=True, slots=True, kw_only=True)
class HandMove:
    """A task goes to a place at a station."""

    task: str
    station: int  # from 1
    place: int  # among the tasks that are there without it, from 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HandStep:
    """One step by hand; undone in one."""

    act: HandAct
    task: str = ""  # the task that is moved or pinned
    # the station it goes to, or that is inserted (it then has this number), emptied, locked ...
    station: int = 0
    is_new: bool = False  # the station is inserted for the task that is moved
    moves: tuple[HandMove, ...] = ()  # all that are moved, one after the other


@dataclass(frozen=True, slots=True, kw_only=True)
class HandWork:
    """What was done by hand to a stored plan."""

    product: str
    plan_id: int
    steps: tuple[HandStep, ...] = ()
    done: int = 0  # how many of the steps stand; the rest was undone, and can be done again
    by: str = ""
    at: datetime | None = None
