"""All limits of a line in the machine's forms, and the kinds of limits they come from."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms.amount_forms import (
    Measure,
    Rate,
    SetUp,
    Target,
    TimeAt,
    Turns,
)
from stationflow.balancing.limits.forms.base_form import Form, LimitedProblem, Placed, SolverModel
from stationflow.balancing.limits.forms.between_forms import Distance, Lag, write_order
from stationflow.balancing.limits.forms.place_forms import Group, Pairs, StationSet

PlaceForm = StationSet | Group | Pairs
AmountForm = Measure | Rate | Target | TimeAt | Turns | SetUp
AnyForm = PlaceForm | AmountForm | Distance | Lag


@dataclass(frozen=True, slots=True, kw_only=True)
class Forms:
    """All limits of a line in the machine's forms; a field has the name of its form."""

    stations: tuple[StationSet, ...] = ()
    groups: tuple[Group, ...] = ()
    pairs: tuple[Pairs, ...] = ()
    measures: tuple[Measure, ...] = ()
    rates: tuple[Rate, ...] = ()
    times: tuple[TimeAt, ...] = ()
    turns: tuple[Turns, ...] = ()
    targets: tuple[Target, ...] = ()  # after what the work of a station depends on
    setups: tuple[SetUp, ...] = ()
    distances: tuple[Distance, ...] = ()
    lags: tuple[Lag, ...] = ()

    def __bool__(self) -> bool:
        """Return whether there is any limit."""
        return any(getattr(self, field.name) for field in fields(self))

    def __iter__(self) -> Iterator[AnyForm]:
        """Go through all of them."""
        for field in fields(self):
            yield from getattr(self, field.name)

    def only(self, kept: frozenset[Form]) -> "Forms":
        """Return those of some forms."""
        return forms_in(form for form in self if form.form in kept)

    def mirrored(self, count: int) -> "Forms":
        """Return them as seen from the other end of a line of `count` stations."""
        return forms_in(form.mirrored(count) for form in self)

    def divided(self, unit: int) -> "Forms":
        """Return them with times in a larger unit that divides them all."""
        return forms_in(form.divided(unit) for form in self) if unit > 1 else self

    @property
    def last_named(self) -> int:
        """The last station that any of them names; from the next on all are alike."""
        return max((form.last_named for form in self), default=0)

    @property
    def need_ticks(self) -> bool:
        """Whether the limit counts to the last tick, not to the last whole time of a task."""
        return bool(self.rates or self.targets or self.lags)

    @property
    def are_places(self) -> bool:
        """Whether it matters which number a station has: an empty one then counts."""
        return bool(self.distances or self.lags or self.last_named or self._are_shared)

    @property
    def _are_shared(self) -> bool:
        return any(form.is_shared and form.most is not None for form in self.setups)

    def work_at(self, times: Sequence[int], station: int, tasks: Sequence[int]) -> int:
        """Return the work of a station: its tasks, times of its own, turn-overs."""
        work = sum(times[task] for task in tasks)
        for form in self.times:
            if form.station == station and form.task in tasks:
                work += form.time - times[form.task]
        return work + sum(form.lost(tasks) for form in self.turns)

    def least_times(self, times: tuple[int, ...]) -> tuple[int, ...]:
        """Return the shortest time of each task at any station."""
        if not self.times:
            return times
        least = list(times)
        for form in self.times:
            least[form.task] = min(least[form.task], form.time)
        return tuple(least)

    def write(self, into: SolverModel) -> None:
        """Write all into a CP-SAT model; whoever made it bounds the work of stations afterwards."""
        if self.lags:
            write_order(into, sorted({t for form in self.lags for t in (form.before, form.after)}))
        for form in self:
            form.write(into)


NO_FORMS = Forms()


def forms_in(found: Iterable[AnyForm]) -> Forms:
    """Return forms sorted by what they are."""
    rows: dict[str, list[AnyForm]] = {}
    for form in found:
        rows.setdefault(form.form.value, []).append(form)
    return replace(NO_FORMS, **{name: tuple(row) for name, row in rows.items()})  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One kind of limit."""

    name: str = ""  # what it is called, where no field of `TaskLimits` says it
    # the fields of `TaskLimits`, of `StationSetting` and of `Line` that it reads
    task_fields: tuple[str, ...] = ()
    station_fields: tuple[str, ...] = ()
    line_fields: tuple[str, ...] = ()
    forms: Callable[[EnteredLimits], Iterator[AnyForm]]  # makes the forms of what is entered

    def kept_by(self, entered: EnteredLimits, kept: frozenset[Form]) -> bool:
        """Return whether a method that keeps these forms keeps all that is entered of it."""
        return all(form.form in kept or form.is_free for form in self.forms(entered))


def forms_of(entered: EnteredLimits, limits: Iterable[Limit]) -> Forms:
    """Return all that is entered in the machine's forms."""
    return forms_in(form for limit in limits for form in limit.forms(entered))


def refusal(
    problem: LimitedProblem, task: int, station: int, station_of: Mapping[int, int]
) -> str | None:
    """Return why a task may not join a station, others being where they are; None: it may."""
    placed = Placed(problem, station_of)
    return next((f.said for f in problem.forms if f.refuses(task, station, placed)), None)
