"""Small lines exactly: exponential times and stops, blocking after service.

References
----------
.. [1] Hunt, G. C. (1956). "Sequential arrays of waiting lines". Operations Research 4, 674-683.
.. [2] Hillier, F. S. and Boling, R. W. (1967). "Finite queues in series with exponential or Erlang
   service times - a numerical approach". Operations Research 15, 286-303.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stationflow.line.throughput.stages import Stage
from tests.line.throughput.steady_state import steady_state

State = tuple[tuple[int, ...], tuple[bool, ...]]
"""The level behind each stage but the last, and whether each stage is up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactLine:
    """The exact answer for a line."""

    rate: float  # units in one unit of time
    states: int


@dataclass(frozen=True, slots=True)
class _Moves:
    """What happens next to a line in a state: a level for each buffer, up or down for each stage.

    The level behind a stage counts the units that left its work and not yet the next stage: the
    waiting ones, the one at the next stage, and a finished one that holds the stage itself.
    """

    stages: Sequence[Stage]
    room: tuple[int, ...]  # the largest level behind each stage but the last
    at_any_time: bool

    def __call__(self, state: State) -> list[tuple[float, State]]:
        levels, up = state
        moves: list[tuple[float, State]] = []
        for at, stage in enumerate(self.stages):
            has_unit = at == 0 or levels[at - 1] > 0
            is_held = at < len(self.room) and levels[at] == self.room[at]
            works = has_unit and not is_held
            if not up[at]:
                moves.append((1 / stage.mttr, (levels, _changed(up, at, value=True))))
                continue
            if works:
                moves.append((1 / stage.time, (self._after(levels, at), up)))
            if stage.mtbf and (works or self.at_any_time):
                moves.append((1 / stage.mtbf, (levels, _changed(up, at, value=False))))
        return moves

    def _after(self, levels: tuple[int, ...], at: int) -> tuple[int, ...]:
        """Return the levels when a stage has finished its unit."""
        level = list(levels)
        if at < len(self.room):
            level[at] += 1
            if level[at] == self.room[at]:
                return tuple(level)  # there is no place: the unit holds the stage
        while at > 0:  # the unit leaves; what was held before it may move up
            was_full = level[at - 1] == self.room[at - 1]
            level[at - 1] -= 1
            if not was_full:
                break
            at -= 1
        return tuple(level)


def in_series(stages: Sequence[Stage], places: Sequence[float] = ()) -> tuple[Stage, ...]:
    """Return stages as a line, each feeding the next; `places` between neighbours (empty: none)."""
    given = places or (0.0,) * (len(stages) - 1)
    between = (*given, 0.0)
    last = len(stages) - 1
    return tuple(
        replace(stage, feeds=None if at == last else at + 1, places=room)
        for at, (stage, room) in enumerate(zip(stages, between, strict=True))
    )


def exact_line(stages: Sequence[Stage], *, stops_at_any_time: bool = False) -> ExactLine:
    """Return the exact output of a line of stages with exponential times, each feeding the next.

    The first stage never lacks a unit, the last one never a place; a finished unit stays at its
    stage while there is no place behind it [1]_ [2]_. Stops are exponential too, while a stage
    works or `stops_at_any_time`.
    """
    room = tuple(int(stage.places) + 2 for stage in stages[:-1])
    start: State = ((0,) * len(room), (True,) * len(stages))
    moves = _Moves(stages, room, stops_at_any_time)
    found = steady_state(start, moves)
    last = len(stages) - 1
    gives = 0.0
    for (levels, up), share in zip(found.states, found.shares, strict=True):
        if up[last] and (last == 0 or levels[-1] > 0):
            gives += float(share)
    return ExactLine(rate=gives / stages[-1].time, states=len(found.states))


def _changed(up: tuple[bool, ...], at: int, *, value: bool) -> tuple[bool, ...]:
    return (*up[:at], value, *up[at + 1 :])
