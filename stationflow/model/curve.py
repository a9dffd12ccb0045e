"""The stations-against-cycle curve: for each number of stations the shortest cycle time."""

from dataclasses import dataclass
from datetime import datetime

from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveSettings:
    """What a curve is asked for. An option left at None takes the method's default."""

    method: str = "exact"
    # time limit for the whole curve; None: until every point is proven
    seconds: float | None = 60.0
    seconds_each: float | None = None  # time limit for one point; None: as it comes
    # seed, cores, memory_mb: as in `BalanceSettings`
    seed: int | None = None
    cores: int | None = None
    memory_mb: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """The shortest cycle time of at most so many stations. Times are in the curve's unit."""

    stations: int
    cycle: float  # cycle time of the best plan found
    lower_bound: float  # proven: no plan of so many stations has a shorter cycle time
    # task numbers of each station; fewer stations than allowed where more do not help
    plan: tuple[tuple[str, ...], ...] = ()

    @property
    def is_proven(self) -> bool:
        """Whether the cycle time is proven shortest."""
        return self.cycle <= self.lower_bound

    @property
    def gap(self) -> float:
        """How far the plan may be from the best: (cycle - lower bound) / lower bound."""
        return 0.0 if self.is_proven else (self.cycle - self.lower_bound) / self.lower_bound


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleCurve:
    """The points of one line, from one station on. Times are in `time_unit`."""

    line: str
    # one for each number of stations from `first` to `flat_from`
    points: tuple[CurvePoint, ...]
    tasks: int  # how many tasks the line has; more stations than that help nobody
    work_content: float
    longest: float  # the longest task time, below which no cycle goes
    time_unit: str = "s"  # "s" for products, "unit" for published instances
    # method, engine: the method that searched, and what did the work
    method: str = ""
    engine: str = ""
    runtime_s: float = 0.0  # how long it took, monotonic time in seconds
    keeps_limits: bool = False  # whether its plans keep what is entered beyond times and order

    @property
    def first(self) -> int:
        """The fewest stations of a plan: 1, unless limits ask for more."""
        return self.points[0].stations

    @property
    def flat_from(self) -> int:
        """Stations from which on more do not shorten the cycle, by the plans that are known."""
        return self.points[-1].stations

    @property
    def open_points(self) -> tuple[CurvePoint, ...]:
        """The points whose shortest cycle time lies between bound and plan."""
        return tuple(point for point in self.points if not point.is_proven)

    def at(self, stations: int) -> CurvePoint | None:
        """Return the point of a number of stations, beyond the last as there; None: too few."""
        at = min(stations, self.flat_from) - self.first
        return self.points[at] if at >= 0 else None

    def answer(self, limit: float) -> CurvePoint | None:
        """Return the point of fewest stations that keeps a limit; None: no plan does."""
        return next((p for p in self.points if exact(p.cycle) <= exact(limit)), None)

    def fewest_proven(self, limit: float) -> int | None:
        """Return the fewest stations that may keep a limit by what is proven; None: none can."""
        return next((p.stations for p in self.points if exact(p.lower_bound) <= exact(limit)), None)

    def efficiency(self, point: CurvePoint) -> float:
        """Return the balance efficiency of a point: work content / (stations x cycle time)."""
        return self.work_content / (point.stations * point.cycle) if point.cycle else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCurve:
    """The last curve made of a line of a product."""

    product: str
    settings: CurveSettings
    curve: CycleCurve
    # product_version, product_checksum: the save it was made from
    product_version: int = 0
    product_checksum: str = ""
    inputs: str = ""  # checksum of what the curve rests on; empty: it was not kept
    # by, at: who asked for it, and when (UTC)
    by: str = ""
    at: datetime | None = None

    @property
    def line(self) -> str:
        """Name of the line."""
        return self.curve.line
