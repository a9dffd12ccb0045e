"""Every number shown, opened by one mechanism for pages, cards and the command line."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from math import fsum
from pathlib import Path

from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import Opened
from stationflow.balancing.explained.bound_reasons import why_not_less
from stationflow.balancing.explained.bounds_explained import (
    bound_numbers,
    lower_bound,
    station_bounds,
)
from stationflow.balancing.explained.capacity_explained import capacity_numbers
from stationflow.balancing.explained.order_explained import (
    OrderFacts,
    mean_time_number,
    order_facts,
    order_number,
    task_numbers,
)
from stationflow.balancing.explained.plan_explained import plan_numbers, station_numbers
from stationflow.balancing.time_words import TimeWords, time_words
from stationflow.balancing.work import LineWork, TimesThere, line_work, times_there
from stationflow.cards.contents.card_explained import card_numbers
from stationflow.model import Explained, Finding, Plan, Product, Task, error, note
from stationflow.model.explanation import key_word
from stationflow.pace.capacity import cycle_of_plan_s
from stationflow.pace.reach import ways_to_reach
from stationflow.pace.takt import NO_PACE, line_pace
from stationflow.people.lifts_of_line import TaskLift, plan_cycle_s, station_lifting, task_lift
from stationflow.supply.parts_explained import part_numbers

OF_PACE = re.compile(
    "working-time|takt-time|operating-takt|station-time|good-units|starts|workers|overtime|further-"
    "|bound-|task-.*-earliest-station"
)
"""Words of numbers that need demand and working time."""
OF_PLAN = re.compile(
    "stations|station-[0-9]|limit|lower-bound|gap|cycle-time|work-content|balance-|idle-time"
    "|smoothness-index|task-.*-latest-station"
)
"""Words of numbers that need a plan."""
NEAR = 5  # suggestions for a word that names nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskRow:
    """What the order of a line says of one task. Times in the unit of the work."""

    number: str
    time: float
    weight: float  # positional weight
    # earliest, latest: stations it can be at; None: there is no limit, or no plan
    earliest: int | None
    latest: int | None
    station: int | None  # the station of the plan; None: no plan


class Numbers:
    """The numbers of one line and one of its plans; each group is computed when it is asked for.

    `product`: the one the plan is judged by; None: a published instance. `plan`: None: only
    numbers that need none. `work`: None: it is made from the product. `limit`: of a station where
    neither plan nor pace sets one: an instance's own cycle time.
    """

    def __init__(
        self,
        product: Product | None,
        line: str,
        plan: Plan | None,
        work: LineWork | None = None,
        limit: float | None = None,
    ) -> None:
        self.product, self.line, self.plan = product, line, plan
        self._work, self._own_limit = work, limit

    @cached_property
    def work(self) -> LineWork | None:
        """The work of the line; None: its tasks have errors."""
        if self._work is not None or self.product is None:
            return self._work
        return line_work(self.product, self.line)[0]

    @cached_property
    def times(self) -> dict[str, float]:
        """Time of each task as it is balanced, in the unit of the work."""
        return self.work.times_by_number if self.work else {}

    @cached_property
    def there(self) -> TimesThere | None:
        """What the tasks take where the plan has them; None: the tasks have errors."""
        if self.work is None or self.plan is None:
            return None
        return times_there(self.work, self.plan.result.stations)

    @property
    def total_work(self) -> float:
        """The work content of the plan, in the unit of the work."""
        return fsum(self.plan.result.loads) if self.plan else 0.0

    @cached_property
    def words(self) -> TimeWords:
        """The unit in which the numbers speak."""
        if self.product is None:
            return time_words("unit")
        return time_words("s", self.product.time_unit)

    def pace(self) -> tuple[Explained, ...]:
        """Return working time, takt time, operating takt, station time, units and starts."""
        return line_pace(self.product, self.line).numbers if self.product else ()

    def capacity(self) -> tuple[Explained, ...]:
        """Return what the main line makes, the workers it needs, and the ways to reach more."""
        product = self.product
        line = product.line(self.line) if product else None
        if product is None or line is None or not line.is_main:
            return ()
        cycle = cycle_of_plan_s(self.plan, line)
        ways = ways_to_reach(product, cycle)
        return (*capacity_numbers(product, cycle), *(way.number for way in ways))

    def of_plan(self) -> tuple[Explained, ...]:
        """Return stations, cycle time, work content, gap, and the measures on both bases."""
        if self.plan is None:
            return ()
        return plan_numbers(self.plan.result, self.words, self.there)

    def lower_bound(self) -> tuple[Explained, ...]:
        """Return the lower bound alone, from the single bounds stored with the plan."""
        if self.plan is None or not self.plan.result.proof.bounds:
            return ()
        return (lower_bound(self.plan.result, self.words),)

    def why_not_less(self) -> str:
        """Return why no plan can have less, in words; empty: nothing is proven."""
        if self.plan is None or self.work is None:
            return ""
        return why_not_less(self.work, self.plan.result, self.words)

    def bounds(self) -> tuple[Explained, ...]:
        """Return the lower bound and each single bound; without a plan, those of the pace."""
        if self.work is None:
            return ()
        if self.plan is None or not self.plan.result.has_plan:
            return station_bounds(self.work, self._limit(), self.words)
        return bound_numbers(self.work, self.plan.result, self.words)

    def order(self) -> tuple[Explained, ...]:
        """Return the order strength."""
        return (order_number(self.work),) if self.work else ()

    def station(self, number: int) -> tuple[Explained, ...]:
        """Return load, idle time and loaded share of a station, and the sum on its card."""
        if self.plan is None:
            return ()
        found = station_numbers(self.plan.result, number, self.there, self.words)
        if self.product is None:
            return found
        cards = card_numbers(self.product, self.plan.result, number)
        return (*found, *cards, *self.lifting(number))

    def lifting(self, number: int) -> tuple[Explained, ...]:
        """Return the lifting index of a station; empty: no lift there is entered."""
        if self.product is None:
            return ()
        here = (n for n, at in self.station_of.items() if at == number)
        tasks = [self.tasks[n] for n in here if n in self.tasks]
        return station_lifting(self.product, tasks, number, self.cycle_s)

    @cached_property
    def tasks(self) -> dict[str, Task]:
        """The tasks of the line by number."""
        return {t.number: t for t in self.product.tasks} if self.product else {}

    @cached_property
    def cycle_s(self) -> float:
        """The time from unit to unit by the plan, else by the pace, in seconds; 0: not known."""
        line = self.product.line(self.line) if self.product else None
        if self.product is None or line is None:
            return 0
        if self.plan is not None and self.plan.result.has_plan:
            return plan_cycle_s(self.plan.result, line)
        return line_pace(self.product, self.line).operating_takt_s or 0

    def lift(self, number: str) -> TaskLift | None:
        """Return weight limit and lifting index of a task; None: no lift of it is entered."""
        if self.product is None:
            return None
        return task_lift(self.product, self.tasks[number], self.cycle_s)

    @cached_property
    def order_facts(self) -> OrderFacts | None:
        """What the order says of the tasks; None: the tasks have errors."""
        if self.work is None:
            return None
        return order_facts(self.work, self._limit())

    def _limit(self) -> float | None:
        """Return the limit by which stations are counted, in the unit of the work."""
        if self.plan is not None and self.plan.result.has_plan:
            result = self.plan.result
            return result.limit or result.cycle_time
        if self.product is None:
            return self._own_limit
        return line_pace(self.product, self.line).station_time_s

    def task(self, number: str) -> tuple[Explained, ...]:
        """Return mean time, positional weight, earliest and latest station of a task."""
        facts = self.order_facts
        if facts is None or number not in facts.work.numbers:
            return ()
        stations = len(self.plan.result.stations) if self.plan else 0
        opened = task_numbers(facts, number, self.words, stations, self.station_of.get(number))
        if self.product is None:
            return opened
        mean, lift = mean_time_number(self.product, self.tasks[number]), self.lift(number)
        return (*((mean,) if mean else ()), *opened, *(lift.numbers if lift else ()))

    @cached_property
    def station_of(self) -> dict[str, int]:
        """The station of each task in the plan."""
        stations = self.plan.result.stations if self.plan else ()
        return {number: s.number for s in stations for number in s.tasks}

    def task_rows(self) -> tuple[TaskRow, ...]:
        """Return what the order says of each task, for a table; empty: the tasks have errors."""
        facts = self.order_facts
        if facts is None:
            return ()
        count = len(facts.work.numbers)
        stations = len(self.plan.result.stations) if self.plan else 0
        windows = facts.windows
        latest = windows.latest(stations) if windows and stations else (None,) * count
        earliest = windows.earliest if windows else (None,) * count
        return tuple(
            TaskRow(
                number=number,
                time=self.times[number],
                weight=facts.weights[at],
                earliest=earliest[at],
                latest=latest[at],
                station=self.station_of.get(number),
            )
            for at, number in enumerate(facts.work.numbers)
        )

    def parts(self) -> tuple[Explained, ...]:
        """Return how much of each part goes into one product."""
        return part_numbers(self.product) if self.product else ()

    def all(self) -> tuple[Explained, ...]:
        """Return every number."""
        stations = self.plan.result.stations if self.plan else ()
        tasks = self.work.numbers if self.work else ()
        return (
            *self.pace(),
            *self.capacity(),
            *self.of_plan(),
            *self.bounds(),
            *self.order(),
            *(e for station in stations for e in self.station(station.number)),
            *(e for number in tasks for e in self.task(number)),
            *self.parts(),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a source can say of its numbers."""

    line: str  # name of the line
    numbers: tuple[Explained, ...]  # every number, opened
    findings: tuple[Finding, ...]  # what should be known about source and plan


def explain_opened(opened: Opened, line: str | None, plan_file: Path | None) -> Asked:
    """Return every number of one line, opened.

    `line`: name of the line; None: the line of the plan file, else the main line.
    """
    chosen = choose_plan(opened, line, plan_file)
    instance = opened.instance
    findings = tuple(_as_note(f) if f.code == "no-plan" else f for f in chosen.findings)
    if chosen.plan is None and (
        plan_file is not None or any(f.code == "unknown-line" for f in findings)
    ):
        return Asked(line=chosen.line, numbers=(), findings=(*opened.findings, *findings))
    if instance is not None:
        limit = opened.limit(chosen.line)
        numbers = Numbers(None, instance.work.line, chosen.plan, instance.work, limit).all()
        said = tuple(f for f in findings if f.code != "no-plan")  # it never has one
        return Asked(line=instance.work.line, numbers=numbers, findings=(*opened.findings, *said))
    product = chosen.product or opened.product
    found = Numbers(product, chosen.line, chosen.plan, chosen.work)
    of_work = line_work(product, chosen.line)[1]
    of_pace = line_pace(product, chosen.line).findings
    told = dict.fromkeys((*opened.findings, *findings, *of_work, *of_pace))
    return Asked(line=chosen.line, numbers=found.all(), findings=tuple(told))


def _as_note(finding: Finding) -> Finding:
    """Return the finding that there is no plan as a note: many numbers need none."""
    return note(finding.code, finding.where, f"{finding.message} Numbers of a plan are left out.")


def pick(numbers: Sequence[Explained], word: str) -> tuple[Explained, ...]:
    """Return the numbers a word means: its own key, or all keys that begin with it.

    "balance-efficiency" means it on both bases; "station-3" all numbers of station 3.
    """
    key = key_word(word)
    exactly = tuple(e for e in numbers if e.key == key)
    return exactly or tuple(e for e in numbers if key and e.key.startswith(f"{key}-"))


NOT_READ = ("value-not-read", "row-left-out", "missing-column", "file-broken", "file-too-large")
"""Errors of files without which no pace is computed."""


def why_missing(asked: Asked, word: str) -> tuple[Finding, ...]:
    """Return why a number that a word means is not there; empty: the word means none."""
    key, findings = key_word(word), asked.findings
    if OF_PACE.match(key):
        return tuple(f for f in findings if f.code in (*NO_PACE, "no-station-time", *NOT_READ))
    if not OF_PLAN.match(key):
        return ()
    if any(f.code == "no-plan" for f in findings):
        message = f"{word} is a number of a plan, and the line has none in force."
        return (error("no-plan", f"Line {asked.line}", message),)
    if key.endswith("limit") and not pick(asked.numbers, "limit"):
        message = "The plan has no limit of a station: the shortest cycle was asked for."
        return (error("no-limit", f"Line {asked.line}", message),)
    return ()


def nearest(numbers: Sequence[Explained], word: str) -> list[str]:
    """Return the words most like one that means nothing, best first."""
    stems = dict.fromkeys(stem for e in numbers for stem in (e.key, e.key.partition("-on-the-")[0]))
    stems |= dict.fromkeys(key_word(e.where) for e in numbers if e.where and " " in e.where)
    known = [stem for stem in stems if pick(numbers, stem)]
    return get_close_matches(key_word(word), known, NEAR, 0.5)
