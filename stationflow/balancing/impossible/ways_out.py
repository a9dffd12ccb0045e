"""Ways out of a clash, the cheapest first; each was tried on the whole line before it is offered.

What is cheap is common practice, no source: to shift a task by a station or to give up one
limit costs less than a station more, that less than a slower pace, and an order is given up last.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from stationflow.balancing.impossible.line_question import Asking, LineQuestion
from stationflow.balancing.impossible.smallest_clash import Member, Part, smallest_clash
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import AnyForm, forms_of
from stationflow.balancing.limits.kinds import LIMITS, LINE_FIELDS
from stationflow.balancing.time_words import count
from stationflow.balancing.work import in_time_unit
from stationflow.model import Line, StationSetting, TaskLimits
from stationflow.model.cell_place import CellPlace
from stationflow.model.changes.cell_places import cell_path
from stationflow.model.changes.change_words import value_words
from stationflow.model.schema.columns import Column
from stationflow.model.schema.tables import TABLE
from stationflow.model.way_out import NewEntry, WayOut

# What is so, and is not changed by entering it otherwise; the rest are wishes and rules.
FACTS = frozenset(
    {"attitude", "working_height_mm", "space_mm", "lift_kg", "lifts", "static_safe of a station",
     "guarded of a station", "equipment of a station", "skills of a station"}
)  # fmt: skip
NUMBERED = ("station", "earliest_station", "latest_station")
MOST_OFFERED = 6
FURTHEST = 8  # stations by which a limit is loosened, or that are added
DEEPEST = 3  # clashes one behind the other that one way leads out of
SHIFTED, GIVEN_UP, BOUGHT, MORE_STATIONS, SLOWER, NO_ORDER = 1.0, 3.0, 4.0, 6.0, 8.0, 10.0
DONE_WITHOUT = 9.0  # a task's equipment: rather one is bought


@dataclass(frozen=True, slots=True)
class Try:
    """A changed question, what was changed, and what that costs."""

    question: LineQuestion
    way: WayOut
    cost: float


def ways_out(
    question: LineQuestion, clash: Sequence[Member], asking: Asking, depth: int = 1
) -> tuple[WayOut, ...]:
    """Return changes with which a line can be done, the cheapest first.

    Where no single one is enough, the cheapest is taken and what then still clashes is solved too.
    """
    tries = sorted(_tries(question, clash, asking), key=lambda each: each.cost)
    works = [each for each in tries if asking.is_possible(each.question)]
    if works or depth >= DEEPEST:
        return tuple(dict.fromkeys(each.way for each in works[:MOST_OFFERED]))
    for each in tries:
        if asking.is_over():
            break
        rest = smallest_clash(each.question, asking)
        if rest and set(rest) != set(clash):
            further = ways_out(each.question, rest, asking, depth + 1)
            if further:
                return tuple(_together(each.way, way) for way in further)
    return ()


def _together(first: WayOut, then: WayOut) -> WayOut:
    return WayOut(
        said=f"{first.said}; and {then.said[:1].lower()}{then.said[1:]}",
        entries=first.entries + then.entries,
        limit=then.limit if first.limit is None else first.limit,
        stations=then.stations if first.stations is None else first.stations,
    )


def _tries(question: LineQuestion, clash: Sequence[Member], asking: Asking) -> Iterator[Try]:
    """Yield what can be changed about the members of a clash."""
    for member in clash:
        if asking.is_over():
            return
        if member.form is not None:
            yield from _other_entries(question, member.form, asking)
        elif member.part == Part.STATIONS:
            yield from _more_stations(question, asking)
        elif member.part == Part.TIME:
            yield from _longer_limit(question, asking)
        else:
            yield _without_arrow(question, *member.arrow)


def _other_entries(question: LineQuestion, form: AnyForm, asking: Asking) -> Iterator[Try]:
    """Yield what may be entered otherwise, so that a form of a limit is gone or looser."""
    yield from _more_equipment(question, form, asking)
    for place, was, value, entered in _entries(question):
        if form.said in {other.said for other in forms_of(entered, LIMITS)}:
            continue
        changed = _with(question, entered)
        shown = _shown(question, place, was, value)
        said = f"{_whose(place)}: give up {f'{_column(place).in_words} {shown}'.strip()!r}"
        entry = NewEntry(place=place, was=was, value=value)
        cost = DONE_WITHOUT if place.field == "equipment" else GIVEN_UP
        yield Try(changed, WayOut(said=said, entries=(entry,)), cost)
        if place.table == "limits" and place.field in NUMBERED:
            yield from _shifted(question, place, was, asking)


def _more_equipment(question: LineQuestion, form: AnyForm, asking: Asking) -> Iterator[Try]:
    """Yield how many more of an equipment are enough, where a limit counts it."""
    limits = question.work.limits
    for at, own in enumerate(limits.equipment):
        for more in range(1, FURTHEST + 1):
            equipment = list(limits.equipment)
            equipment[at] = replace(own, quantity=own.quantity + more)
            changed = _with(question, replace(limits, equipment=tuple(equipment)))
            if form.said in {f.said for f in forms_of(changed.work.limits, LIMITS)}:
                break  # it is about something else
            if asking.is_possible(changed):
                quantity = own.quantity + more
                place = CellPlace(table="equipment", field="quantity", key=(own.name,))
                said = f"Equipment {own.name}: {quantity} instead of {own.quantity}"
                entry = NewEntry(place=place, was=own.quantity, value=quantity)
                yield Try(changed, WayOut(said=said, entries=(entry,)), BOUGHT + more)
                break


def _shifted(question: LineQuestion, place: CellPlace, was: Any, asking: Asking) -> Iterator[Try]:
    """Yield the nearest station at which a task can be, instead of the one entered."""
    task = question.work.numbers.index(place.owner)
    directions = {"station": (1, -1), "earliest_station": (-1,), "latest_station": (1,)}
    for way in range(1, FURTHEST + 1):
        for sign in directions[place.field]:
            value = was + sign * way
            if value < 1:
                continue
            limits = question.work.limits
            entered = _with_task(limits, task, {place.field: value})
            changed = _with(question, entered)
            if asking.is_possible(changed):
                said = f"{_whose(place)}: {_column(place).in_words} {value} instead of {was}"
                entry = NewEntry(place=place, was=was, value=value)
                yield Try(changed, WayOut(said=said, entries=(entry,)), SHIFTED + way / 10)
                return


def _more_stations(question: LineQuestion, asking: Asking) -> Iterator[Try]:
    problem, least = question.problem(), (question.stations or 0) + 1
    if problem.limit:
        least = max(least, -(-sum(problem.least_times) // problem.limit))
    for stations in range(least, least + FURTHEST):
        changed = replace(question, stations=stations)
        if asking.is_possible(changed):
            said = f"Allow {count(stations, 'station')} instead of {question.stations}"
            yield Try(changed, WayOut(said=said, stations=stations), MORE_STATIONS)
            return


def _longer_limit(question: LineQuestion, asking: Asking) -> Iterator[Try]:
    """Yield the smallest limit at which the line can be done."""
    work, problem = question.work, question.problem()
    low = problem.limit or 0

    def at(units: int) -> LineQuestion:
        return replace(question, limit=in_time_unit(work, units * problem.scale))

    high = low
    while not asking.is_possible(at(high)):
        if high >= problem.total:
            return
        low, high = high, min(2 * max(high, 1), problem.total)
    while high - low > 1:
        middle = (low + high) // 2
        if asking.is_possible(at(middle)):
            high = middle
        else:
            low = middle
    changed = at(high)
    shown, was = work.words.show(changed.limit or 0), work.words.show(question.limit or 0)
    said = f"Allow {shown} at a station instead of {was}"
    longer = (changed.limit or 0) / (question.limit or 1)
    yield Try(changed, WayOut(said=said, limit=changed.limit), SLOWER + longer)


def _without_arrow(question: LineQuestion, before: int, after: int) -> Try:
    work = question.work
    rows = list(work.predecessors)
    rows[after] = tuple(other for other in rows[after] if other != before)
    changed = replace(question, work=replace(work, predecessors=tuple(rows)))
    one, other = work.numbers[before], work.numbers[after]
    said = f"Task {other}: need not wait for task {one}"
    place = CellPlace(table="tasks", field="predecessors", key=(other,))
    was = tuple(work.numbers[task] for task in work.predecessors[after])
    value = tuple(work.numbers[task] for task in rows[after])
    entry = NewEntry(place=place, was=was, value=value)
    return Try(changed, WayOut(said=said, entries=(entry,)), NO_ORDER)


def _entries(
    question: LineQuestion,
) -> Iterator[tuple[CellPlace, Any, Any, EnteredLimits]]:
    """Yield all that is entered of limits: its place, its value, what is left without, and that."""
    limits = question.work.limits
    for task, own in enumerate(limits.tasks):
        place = CellPlace(table="limits", field="", owner=limits.numbers[task])
        for name, was, value in _less(own, TaskLimits()):
            if name in FACTS:
                continue
            entered = _with_task(limits, task, {name: value})
            yield replace(place, field=name), was, value, entered
    for at, setting in enumerate(limits.stations):
        key = (str(setting.number),)
        place = CellPlace(table="stations", field="", owner=question.work.line, key=key)
        for name, was, value in _less(setting, StationSetting(number=setting.number)):
            if f"{name} of a station" in FACTS:
                continue
            stations = list(limits.stations)
            stations[at] = replace(setting, **{name: value})
            entered = replace(limits, line=replace(limits.line, stations=tuple(stations)))
            yield replace(place, field=name), was, value, entered
    usual = Line()
    for name in LINE_FIELDS:
        if (was := getattr(limits.line, name)) != (value := getattr(usual, name)):
            entered = replace(limits, line=_with_value(limits.line, name, value))
            place = CellPlace(table="lines", field=name, key=(limits.line.name,))
            yield place, was, value, entered
    for at, lag in enumerate(limits.lags):
        place = CellPlace(table="lags", field="", key=(lag.before, lag.after))
        for name in ("shortest_ms", "longest_ms", "least_stations", "most_stations"):
            if (was := getattr(lag, name)) is not None:
                lags = list(limits.lags)
                lags[at] = _with_value(lag, name, None)
                entered = replace(limits, lags=tuple(lags))
                yield replace(place, field=name), was, None, entered


def _less(own: Any, usual: Any) -> Iterator[tuple[str, Any, Any]]:
    """Yield the fields in which something is entered, with what is there and what less is."""
    for field in fields(own):
        was, without = getattr(own, field.name), getattr(usual, field.name)
        if isinstance(was, tuple):
            for gone in was:
                yield field.name, was, tuple(each for each in was if each != gone)
        elif was != without:
            yield field.name, was, without


def _with_value(record: Any, name: str, value: Any) -> Any:
    return replace(record, **{name: value})


def _with(question: LineQuestion, entered: EnteredLimits) -> LineQuestion:
    return replace(question, work=replace(question.work, limits=entered))


def _with_task(limits: EnteredLimits, task: int, values: dict[str, Any]) -> EnteredLimits:
    tasks = list(limits.tasks)
    tasks[task] = replace(tasks[task], **values)
    return replace(limits, tasks=tuple(tasks))


def _whose(place: CellPlace) -> str:
    if place.table == "lags":
        return f"Between tasks {place.key[0]} and {place.key[1]}"
    of_record = {"stations": "Station", "lines": "Line", "equipment": "Equipment"}
    kind = of_record.get(place.table)
    return f"{kind} {place.key[0]}" if kind else f"Task {place.owner}"


def _column(place: CellPlace) -> Column:
    return next(c for c in TABLE[place.table].columns if c.field == place.field)


def _shown(question: LineQuestion, place: CellPlace, was: Any, value: Any) -> str:
    """Return what is taken away of a value, in words."""
    if isinstance(was, tuple):
        return ", ".join(each for each in was if each not in value)
    if was is True:
        return ""
    unit = _column(place).unit if isinstance(was, float | int) else ""
    words = value_words(was, cell_path(place), question.work.shown)
    return words if not unit or words.endswith(unit) else f"{words} {unit}"
