"""The stations-against-cycle curve: for each number of stations the shortest cycle time."""

from dataclasses import dataclass
from datetime import datetime

from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveSettings:
    """What a curve is asked for. An option left at None takes the method's default.

    Attributes
    ----------
    method
        Name of the method that searches.
    seconds
        Time limit for the whole curve; None: until every point is proven.
    seconds_each
        Time limit for one point; None: as it comes.
    seed, cores, memory_mb
        As in `BalanceSettings`.
    """

    method: str = "exact"
    seconds: float | None = 60.0
    seconds_each: float | None = None
    seed: int | None = None
    cores: int | None = None
    memory_mb: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """The shortest cycle time of at most so many stations. Times are in the curve's unit.

    Attributes
    ----------
    stations
        How many stations are allowed.
    cycle
        Cycle time of the best plan found.
    lower_bound
        Proven: no plan of so many stations has a shorter cycle time.
    plan
        Task numbers of each station; fewer stations than allowed where more do not help.
    """

    stations: int
    cycle: float
    lower_bound: float
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
    """The points of one line, from one station on. Times are in `time_unit`.

    Attributes
    ----------
    line
        Name of the line.
    points
        One for each number of stations from 1 to `flat_from`.
    tasks
        How many tasks the line has; more stations than that help nobody.
    work_content
        Sum of the task times.
    longest
        The longest task time, below which no cycle goes.
    time_unit
        "s" for products, "unit" for published instances.
    method, engine
        The method that searched, and what did the work.
    runtime_s
        How long it took, monotonic time in seconds.
    """

    line: str
    points: tuple[CurvePoint, ...]
    tasks: int
    work_content: float
    longest: float
    time_unit: str = "s"
    method: str = ""
    engine: str = ""
    runtime_s: float = 0.0

    @property
    def flat_from(self) -> int:
        """Stations at which the cycle time equals the longest task: more do not shorten it."""
        return len(self.points)

    @property
    def open_points(self) -> tuple[CurvePoint, ...]:
        """The points whose shortest cycle time lies between bound and plan."""
        return tuple(point for point in self.points if not point.is_proven)

    def at(self, stations: int) -> CurvePoint:
        """Return the point of a number of stations, from 1; beyond the last it stays flat."""
        return self.points[min(stations, self.flat_from) - 1]

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
    """The last curve made of a line of a product.

    Attributes
    ----------
    product, line
        What it is a curve of.
    settings
        What was asked.
    curve
        What came out.
    product_version, product_checksum
        The save it was made from.
    inputs
        Checksum of what the curve rests on; empty: it was not kept.
    by, at
        Who asked for it, and when (UTC).
    """

    product: str
    settings: CurveSettings
    curve: CycleCurve
    product_version: int = 0
    product_checksum: str = ""
    inputs: str = ""
    by: str = ""
    at: datetime | None = None

    @property
    def line(self) -> str:
        """Name of the line."""
        return self.curve.line
