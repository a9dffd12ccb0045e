"""What a simulation is asked for and what it answers."""

from dataclasses import dataclass

from stationflow.model import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulationSettings:
    """What a simulation is asked for. The same settings give the same answer."""

    hours: float = 40.0  # measured in each replication, after the warm-up
    replications: int = 10
    seed: int = 1
    # hours left out at the start, while the line fills; None: found from the runs
    warm_up_h: float | None = None
    trace: int = 2000  # events of the first replication that are told in words


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A mean over the replications with its 95 % limits; None: one replication has none."""

    mean: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StationShares:
    """What a station, bench or soak did, as shares of the time (0 to 1) that add up to 1.

    `blocked`: a unit is done and cannot move on, which on a paced line includes waiting for the
    common step; `starved`: no unit, or a feeder's unit or a part is missing.
    """

    line: str
    number: int
    worked: float
    blocked: float
    starved: float
    stopped: float
    name: str = ""  # of what stands at the station or beside it: "soak 220"; empty: the station
    # of_step: of the blocked share, waiting for the common step of a paced line
    # of_feeder, of_part: of the starved share, waiting for a feeder's unit, for a part
    of_step: float = 0.0
    of_feeder: float = 0.0
    of_part: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Units in a buffer: between stations, before a join, at a bench, or waiting to return."""

    name: str
    mean: float
    most: int  # ever, in any replication
    places: int | None  # None: without limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One part of the loss tree, in units an hour.

    The first is what the limiting station would give if it always worked; what stands under it
    (`part_of` its name) adds up to it: what each thing takes, and the output.
    """

    name: str
    per_h: float
    where: str = ""
    part_of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceEvent:
    """One event of the first replication."""

    at_s: float
    line: str
    station: int
    unit: int  # its number within its line; 0: none
    # what happens: "enters", "starts", "ends", "waits" (cannot move on), "leaves", "stops",
    # "runs" (again), "lacks a part", "fails", "scrapped", "done", "used" (in another unit)
    what: str
    name: str = ""  # as in StationShares

    @property
    def words(self) -> str:
        """The event as a person reads it: "0:01:30.0  main 3: unit 12 starts"."""
        minutes, seconds = divmod(self.at_s, 60)
        hours, minutes = divmod(int(minutes), 60)
        place = self.name or f"{self.line} {self.station}"
        what = f"unit {self.unit} {self.what}" if self.unit else self.what
        return f"{hours}:{minutes:02}:{seconds:04.1f}  {place}: {what}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """The answer of a simulation."""

    settings: SimulationSettings
    replications: int  # done
    warm_up_h: float
    output_per_h: Estimate  # good units of the main line
    time_in_system_s: Estimate  # from the start of a unit on the main line to its end
    wip: Estimate  # units of the main line that are under way
    outputs: tuple[float, ...] = ()  # good units an hour of each replication
    stations: tuple[StationShares, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    losses: tuple[Loss, ...] = ()
    limiter: str = ""  # a sentence; empty: none stands out
    limiter_line: str = ""
    limiter_number: int | None = None
    findings: tuple[Finding, ...] = ()
    trace: tuple[TraceEvent, ...] = ()
