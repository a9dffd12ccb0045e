"""A flow of units as plain numbers: stations, buffers, paced lines. It knows no product."""

from dataclasses import dataclass
from enum import StrEnum
from math import ceil

NONE = -1
"""No buffer: as the input of a station, its units come from outside and never run out."""
GOOD = -2
"""Where units go that are finished."""
SCRAP = -3
"""Where units go that are lost."""


class Law(StrEnum):
    """The law of a time, by its mean and standard deviation."""

    CONSTANT = "constant"
    NORMAL = "normal"  # what would be below 0 is drawn again
    GAMMA = "gamma"
    EXPONENTIAL = "exponential"  # its standard deviation is its mean
    UNIFORM = "uniform"
    LOGNORMAL = "lognormal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Duration:
    """A time and how it scatters."""

    mean_s: float
    sd_s: float = 0.0
    law: Law = Law.NORMAL  # with no standard deviation it is constant, but for the exponential

    def __post_init__(self) -> None:
        """Refuse a time that cannot be."""
        if not (self.mean_s >= 0 and self.sd_s >= 0):
            raise ValueError(f"a time and its scatter are 0 or more, got {self}")
        if self.law == Law.UNIFORM and self.sd_s * 3**0.5 > self.mean_s * (1 + 1e-12):
            raise ValueError(f"a uniform time would fall below 0, got {self}")


class StopKind(StrEnum):
    """When a station can stop."""

    OPERATION_DEPENDENT = "operation-dependent"  # only while it works
    TIME_DEPENDENT = "time-dependent"  # at any time


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One cause that stops each server of a station; both times are exponential."""

    mtbf_s: float  # mean running time between two stops
    mttr_s: float  # mean time it stands
    kind: StopKind = StopKind.OPERATION_DEPENDENT

    def __post_init__(self) -> None:
        """Refuse times that cannot be."""
        if not (self.mtbf_s > 0 and self.mttr_s > 0):
            raise ValueError(f"times between stops and of stops are above 0, got {self}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """Units of a buffer that go into one unit of a station; a share is carried over."""

    buffer: int
    quantity: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """What becomes of a unit when a station is done with it, beside passing on.

    A share passes, a share is rejected, the rest goes to `rest_to`. `repeat_pass`, `repeat_reject`
    are those of a unit that this gate has rejected before.
    """

    pass_share: float
    repeat_pass: float
    reject_share: float
    repeat_reject: float
    reject_to: int = SCRAP
    rest_to: int = SCRAP

    def __post_init__(self) -> None:
        """Refuse shares that cannot be."""
        for first, second in (
            (self.pass_share, self.reject_share),
            (self.repeat_pass, self.repeat_reject),
        ):
            if not (first >= 0 and second >= 0 and first + second <= 1 + 1e-12):
                raise ValueError(f"shares lie between 0 and 1, got {self}")


def gate_of_test(
    first_pass: float, repeat_pass: float | None = None, reject_to: int = SCRAP
) -> Gate:
    """Return the gate of a test that sends what fails to a bench, or to scrap."""
    repeat = first_pass if repeat_pass is None else repeat_pass
    return Gate(
        pass_share=first_pass,
        repeat_pass=repeat,
        reject_share=1 - first_pass,
        repeat_reject=1 - repeat,
        reject_to=reject_to,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowStation:
    """A station, bench, machine or soak: it takes a unit, works on it, and passes it on.

    A station that cannot pass its unit on keeps it and is blocked (blocking after service). The
    stations of a paced line pass to the next of their line; the first takes from its input, the
    last gives to its `to`.
    """

    work: Duration
    line: str = "main"
    number: int = 0
    name: str = ""
    input: int = NONE
    to: int = GOOD
    servers: int = 1  # parallel copies, positions of a soak, repairers
    returns: int = NONE  # a buffer of repaired units that it takes before those of its input
    needs: tuple[Need, ...] = ()
    gate: Gate | None = None
    stops: tuple[Stop, ...] = ()
    shortage_share: float = 0.0  # of its units find a part missing
    shortage_s: float = 0.0  # mean time they wait for it, exponential
    batch: int = 1  # units it takes, works on and gives together
    # arrivals: it is no place; its times lie between units that come from outside
    # lost_when_full: and they turn away where there is no room
    arrivals: bool = False
    lost_when_full: bool = False
    most: int | None = None  # units that come from outside; None: without end
    # takes_carrier, gives_carrier: number of the set of carriers, from 0, that each unit takes one
    # of here, or gives it back; NONE: none
    takes_carrier: int = NONE
    gives_carrier: bool = False
    per_unit: float = 1.0  # units it works on for one good unit of the main line, without rejects

    @property
    def label(self) -> str:
        """What it is called."""
        return self.name or f"{self.line} {self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowBuffer:
    """Places for units that wait; between stations without places they pass from hand to hand."""

    places: int | None = None  # None: without limit
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PacedLine:
    """Stations one behind another whose units all step together.

    They step when all are done, and not before the pace has passed since the last step. A station
    of several servers has as many places, and a unit stays for as many steps.
    """

    first: int  # position of its first station
    last: int
    pace_s: float = 0.0  # 0: as soon as all are done
    empty_share: float = 0.0  # of the steps bring in no new unit, evenly spread
    # whether a stop of one station stops all at once (a moving conveyor), or the others finish
    halts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriers:
    """A set of jigs or carriers that units travel on."""

    count: int
    return_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowModel:
    """All that a simulation knows. Stations and buffers are named by their position."""

    stations: tuple[FlowStation, ...]
    buffers: tuple[FlowBuffer, ...] = ()
    paced: tuple[PacedLine, ...] = ()
    carriers: tuple[Carriers, ...] = ()
    main: str = "main"  # the line whose good units are counted

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines, the main one first."""
        return tuple(dict.fromkeys((self.main, *(s.line for s in self.stations))))

    def __post_init__(self) -> None:
        """Refuse what cannot flow."""
        wrong = "; ".join(_faults(self))
        if wrong:
            raise ValueError(wrong)


def _faults(model: FlowModel) -> list[str]:
    """Return what would stand for ever or go nowhere."""
    found = []
    in_paced = {k for g in model.paced for k in range(g.first, g.last + 1)}
    buffers = range(len(model.buffers))
    for k, station in enumerate(model.stations):
        names = [station.input, station.returns, station.to]
        names += [need.buffer for need in station.needs]
        if station.gate is not None:
            names += [station.gate.reject_to, station.gate.rest_to]
        if any(name >= 0 and name not in buffers for name in names):
            found.append(f"{station.label}: names a buffer that is not there")
            continue
        if station.servers < 1 or station.batch < 1:
            found.append(f"{station.label}: servers and batch are 1 or more")
        if not (0 <= station.shortage_share <= 1 and station.shortage_s >= 0):
            found.append(f"{station.label}: parts go missing at a share of 0 to 1, for 0 s or more")
        if station.batch > 1 and (k in in_paced or station.gate):
            found.append(f"{station.label}: a batch has no gate and no common step")
        if station.input >= 0:
            places = model.buffers[station.input].places
            if places is not None and places < station.batch and station.batch > 1:
                found.append(f"{station.label}: a full batch has no room in its input")
        for need in station.needs:
            places = model.buffers[need.buffer].places
            if places is not None and places + 1 < ceil(need.quantity):
                found.append(f"{station.label}: what it needs has no room in its buffer")
        if k in in_paced and station.gate is not None:
            for to in (station.gate.reject_to, station.gate.rest_to):
                if to >= 0 and model.buffers[to].places is not None:
                    found.append(f"{station.label}: its rejects need a buffer without limit")
    for line in model.paced:
        last = model.stations[line.last]
        if last.to >= 0 and model.buffers[last.to].places == 0:
            found.append(f"{last.label}: a paced line gives to a buffer of at least one place")
        if not 0 <= line.empty_share < 1:
            found.append(f"{last.label}: the share of empty places is 0 to below 1")
    return found


def unpaced_line(
    works: tuple[Duration, ...], places: int | tuple[int, ...] = 0, line: str = "main"
) -> FlowModel:
    """Return a line that units pass from hand to hand, with places between its stations."""
    between = (places,) * (len(works) - 1) if isinstance(places, int) else places
    stations = tuple(
        FlowStation(
            work=work,
            line=line,
            number=k + 1,
            input=k - 1 if k else NONE,
            to=k if k < len(works) - 1 else GOOD,
        )
        for k, work in enumerate(works)
    )
    buffers = tuple(
        FlowBuffer(places=p, name=f"after {line} {k}") for k, p in enumerate(between, 1)
    )
    return FlowModel(stations=stations, buffers=buffers, main=line)
