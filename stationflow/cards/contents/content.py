"""Content of the station cards: made from the plan, so that it cannot disagree with it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import partial

from stationflow.balancing.verify import LIMIT_CODES
from stationflow.balancing.work import mean_time_ms
from stationflow.cards.card import (
    BarSegment,
    Card,
    CardCheck,
    CardPicture,
    CardStep,
    CardTask,
    Fact,
    TimeBar,
)
from stationflow.cards.code import card_code, kind_and_version
from stationflow.cards.contents.gathering import (
    card_cautions,
    card_parts,
    card_protection,
    card_tools,
)
from stationflow.cards.contents.limit_words import limit_words
from stationflow.cards.contents.selfcheck import has_step_times
from stationflow.cards.contents.times import PrintedUnit, printed_unit, shared_out
from stationflow.cards.settable import settable_card
from stationflow.cards.words import Language, is_right_to_left, language_of, number_words, say
from stationflow.model import (
    DEFER,
    BalanceResult,
    Check,
    Finding,
    Goal,
    Line,
    Plan,
    Product,
    Severity,
    Station,
    Task,
    error,
    warning,
)
from stationflow.people.lifts_of_line import plan_cycle_s
from stationflow.units import rounded_to_sum

OF_THE_PLANNER = frozenset(
    {"limits-not-kept", "limits-broken", "lift-too-heavy", *(code for code in LIMIT_CODES)}
)
"""Findings that tell the planner what to cure, and an operator nothing to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What all cards of one plan share."""

    product: Product
    plan: Plan
    unit: PrintedUnit
    limit: float
    limit_name: str
    pace: tuple[Fact, ...]
    version_label: str
    address: str
    mark: str
    approved_by: str
    dated: date | None
    language: str
    to_left: bool


def station_cards(
    product: Product,
    plan: Plan,
    *,
    version_label: str,
    line_pace_s: float | None = None,
    address: str = "",
    mark: str = "",
    approved_by: str = "",
    dated: date | None = None,
    language: Language | None = None,
) -> tuple[tuple[Card, ...], tuple[Finding, ...]]:
    """Return the cards of all stations of a plan, and what does not fit together.

    `product` is the version the plan was made from; times are printed in its unit.

    Parameters
    ----------
    version_label
        "version 7" or "revision C", as it stands on every card.
    line_pace_s
        Operating takt of the line in seconds, printed where the plan itself holds none.
    address
        Address of the operator's page, held by the code; empty: the code holds plain text.
    mark
        "DRAFT", "OUT OF DATE": printed large on every page.
    approved_by
        Who approved; empty: a line to sign on.
    dated
        Date of the cards; None: the day the plan was stored, if it was.
    language
        Language of the fixed words; None: by the letters of the product's texts.

    Returns
    -------
    tuple
        The cards in the direction of flow, and findings about tasks the product
        does not have or whose times are no longer those of the plan.
    """
    result = plan.result
    unit = printed_unit(product.time_unit, result.time_unit)
    limit, limit_name = _limit(result)
    texts = tuple(_texts(product, plan.line))
    chosen = language or language_of(texts)
    sheet = _Sheet(
        product=product,
        plan=plan,
        unit=unit,
        limit=limit,
        limit_name=limit_name,
        pace=_pace(result, unit, line_pace_s, chosen),
        version_label=version_label,
        address=address,
        mark=mark,
        approved_by=approved_by,
        dated=dated or (plan.at.date() if plan.at else None),
        language=chosen,
        to_left=chosen == Language.ARABIC or is_right_to_left(texts),
    )
    tasks = {task.number: task for task in product.tasks}
    cards: list[Card] = []
    findings: list[Finding] = []
    for load in result.stations:
        known = tuple(tasks[number] for number in load.tasks if number in tasks)
        findings += _disagreements(sheet, load, known)
        card, changed = settable_card(_card(sheet, load, known))
        cards.append(card)
        findings += changed
    return tuple(cards), tuple(findings)


def _texts(product: Product, line: str) -> Iterable[str]:
    """Yield the engineer's words by which language and direction are told."""
    yield product.name
    for task in product.tasks_of(line):
        yield task.name
        for step in task.steps:
            yield step.text
            yield step.key_point


def balanced_time_ms(product: Product, task: Task) -> int:
    """Return the time of a task in ms as it is balanced; not yet timed counts as 0."""
    try:
        return mean_time_ms(product, task)
    except ValueError:
        return 0


def _limit(result: BalanceResult) -> tuple[float, str]:
    """Return the limit of a station and its name."""
    if result.limit is None or result.goal == Goal.SHORTEST_CYCLE:
        return result.cycle_time if result.limit is None else result.limit, "Cycle time"
    return result.limit, "Station time"


def _pace(
    result: BalanceResult, unit: PrintedUnit, line_pace_s: float | None, language: str
) -> tuple[Fact, ...]:
    """Return takt time and operating takt as far as they are known."""
    paces = (
        ("Takt time", result.pace.takt_time),
        ("Operating takt", result.pace.operating_takt or line_pace_s),
    )
    return tuple(
        Fact(name=say(language, name), value=unit.show(time, language))
        for name, time in paces
        if time is not None
    )


def _disagreements(sheet: _Sheet, load: Station, tasks: tuple[Task, ...]) -> Iterable[Finding]:
    """Name what the plan says otherwise than the product."""
    where = f"Station {load.number}"
    known = {task.number for task in tasks}
    for number in load.tasks:
        if number not in known:
            yield error(
                "unknown-task-in-plan", where, f"the plan has a task {number} the product has not."
            )
    total = sum(_time_ms(sheet, task, load) for task in tasks) + _turning_ms(sheet, tasks)
    # Weighted times may be rounded once more on the way into the plan: 1 ms for each task.
    if len(known) == len(load.tasks) and abs(total - load.work_ticks) > len(tasks):
        yield warning(
            "plan-out-of-date",
            where,
            f"the plan counts {sheet.unit.show(load.work_ticks / 1000)} of work, "
            f"its tasks now take {sheet.unit.show(total / 1000)}.",
        )


def _card(sheet: _Sheet, load: Station, tasks: tuple[Task, ...]) -> Card:
    """Return the card of one station."""
    product, unit, plan = sheet.product, sheet.unit, sheet.plan
    line = product.line(plan.line)
    settings = line.stations if line else ()
    own = next((s for s in settings if s.number == load.number), None)
    *times, turning = _printed(
        unit, [*(_time_ms(sheet, task, load) for task in tasks), _turning_ms(sheet, tasks)]
    )
    work = sum(times, turning)
    model_times = _model_times(product, unit, tasks)
    kind, version = kind_and_version(sheet.version_label)
    bar = _time_bar(sheet, times, turning)
    language = sheet.language
    number = partial(number_words, language)
    day = sheet.dated.isoformat() if sheet.dated else ""
    return Card(
        product_code=product.code,
        product_name=product.name,
        line=plan.line,
        line_label=line.label if line else plan.line,
        station=load.number,
        stations=len(plan.result.stations),
        version_label=sheet.version_label,
        dated=day,
        prepared_by=product.author,
        approved_by=sheet.approved_by,
        operators=max(len(load.operators), own.operators if own else 1),
        copies=own.copies if own else 1,
        unit=unit.label,
        work=number(work),
        facts=(
            *sheet.pace,
            Fact(name=say(language, sheet.limit_name), value=unit.show(sheet.limit, language)),
            Fact(name=say(language, "Work"), value=f"{number(work)} {unit.label}"),
            Fact(name=say(language, kind.capitalize()), value=version),
            *(Fact(name=say(language, "Date"), value=dated) for dated in [day] if dated),
        ),
        tasks=tuple(
            _card_task(sheet, place, task, times[place - 1], [c[place - 1] for c in model_times])
            for place, task in enumerate(tasks, start=1)
        ),
        bar=bar,
        code=card_code(
            address=sheet.address,
            product=product.code,
            line=plan.line,
            station=load.number,
            version_label=sheet.version_label,
            language=language,
        ),
        models=tuple(m.title or m.name for m in product.models) if model_times else (),
        model_work=tuple(number(sum(column, Decimal(0))) for column in model_times),
        parts=card_parts(product, tasks, language),
        tools=card_tools(tasks),
        cautions=card_cautions(tasks, language),
        protection=card_protection(tasks, language),
        defer=say(language, DEFER),
        mark=sheet.mark,
        language=language,
        to_left=sheet.to_left,
        remarks=_remarks(sheet, load, tasks, bar),
        has_work=bool(load.tasks),
    )


def _time_ms(sheet: _Sheet, task: Task, load: Station) -> int:
    """Return the time of a task at a station in ms."""
    own = (at.time_ms for at in task.station_times if at.station == load.number)
    return next(own, balanced_time_ms(sheet.product, task))


def _turning_ms(sheet: _Sheet, tasks: tuple[Task, ...]) -> int:
    """Return the time in ms in which a station with these tasks turns the unit over."""
    line = sheet.product.line(sheet.plan.line) or Line()
    ways = {task.limits.attitude for task in tasks} - {""}
    return line.turn_ms * max(0, len(ways) - 1)


def _printed(unit: PrintedUnit, times_ms: list[int]) -> list[Decimal]:
    """Round the times of a column so that it adds up."""
    return rounded_to_sum([unit.exactly(time / 1000) for time in times_ms], unit.decimals)


def _model_times(
    product: Product, unit: PrintedUnit, tasks: tuple[Task, ...]
) -> list[list[Decimal]]:
    """Return a column of times for each model, where the models differ at this station."""
    if not any(task.model_times for task in tasks):
        return []
    return [
        _printed(unit, [task.time_ms_for(model.name) or 0 for task in tasks])
        for model in product.models
    ]


def _card_task(
    sheet: _Sheet, place: int, task: Task, time: Decimal, model_times: list[Decimal]
) -> CardTask:
    """Return one task as it stands on the card."""
    pictures = [CardPicture(number=str(place), picture=task.picture, text=task.name)]
    pictures += [
        CardPicture(number=f"{place}.{n}", picture=step.picture, text=step.text)
        for n, step in enumerate(task.steps, start=1)
    ]
    language = sheet.language
    pictures = [
        replace(p, missing=say(language, "picture missing: {name}", name=p.picture))
        for p in pictures
        if p.picture
    ]
    return CardTask(
        number=place,
        task=task.number,
        name=task.name,
        time=number_words(language, time),
        is_machine=task.machine,
        model_times=tuple(number_words(language, t) for t in model_times),
        steps=_card_steps(place, task, time, sheet.unit, language),
        checks=tuple(_card_check(check, sheet.language) for check in task.checks),
        pictures=tuple(pictures),
    )


def _card_steps(
    place: int, task: Task, time: Decimal, unit: PrintedUnit, language: str
) -> tuple[CardStep, ...]:
    """Return the steps of a task; their times are printed only where they add up to it."""
    times = [""] * len(task.steps)
    if has_step_times(task) and not task.model_times:
        numbers = [unit.number((step.time_ms or 0) / 1000) for step in task.steps]
        times = [
            f"{number_words(language, t)} {unit.label}"
            for t in shared_out(time, numbers, unit.decimals)
        ]
    return tuple(
        CardStep(
            number=f"{place}.{n}",
            text=step.text,
            key_point=step.key_point,
            reason=step.reason,
            time=times[n - 1],
        )
        for n, step in enumerate(task.steps, start=1)
    )


def _card_check(check: Check, language: str) -> CardCheck:
    """Return a check as it stands on the card."""
    return CardCheck(
        text=check.text,
        limit=check.limit,
        method=check.method,
        frequency=check.frequency or say(language, "every unit"),
        record=check.record,
        reaction=check.reaction,
    )


def _time_bar(sheet: _Sheet, times: list[Decimal], turning: Decimal) -> TimeBar:
    """Return the tasks one after the other against the limit, in the printed numbers.

    The limit is that of one operator at one station, which is what balancing keeps;
    further operators are named in the header and do not move it.
    """
    unit, number = sheet.unit, partial(number_words, sheet.language)
    segments, start = [], Decimal(0)
    for place, time in enumerate(times, start=1):
        end = start + time
        segments.append(BarSegment(number=place, time=number(time), start=start, end=end))
        start = end
    start += turning  # of the unit, after all tasks
    limit = unit.rounded(sheet.limit)
    label = f"{say(sheet.language, sheet.limit_name)} {number(limit)} {unit.label}"
    over = start - limit
    phrase = "{time} over the limit" if over > 0 else "idle {time}"
    rest = say(sheet.language, phrase, time=f"{number(abs(over))} {unit.label}")
    return TimeBar(
        segments=tuple(segments), limit=limit, limit_label=label, rest=rest, is_over=over > 0
    )


def _remarks(
    sheet: _Sheet, load: Station, tasks: tuple[Task, ...], bar: TimeBar
) -> tuple[str, ...]:
    """Return what must be known of the limits here, and of the plan's findings about it."""
    places = "|".join([f"station {load.number}", *(f"task {re.escape(t)}" for t in load.tasks)])
    here = re.compile(rf"(?:{places})(?![\w.-])", re.IGNORECASE)
    line = sheet.product.line(sheet.plan.line) or Line()
    cycle_s = plan_cycle_s(sheet.plan.result, line)
    said = list(limit_words(sheet.product, line, tasks, cycle_s, sheet.language, sheet.unit))
    for finding in sheet.plan.result.findings:
        is_told = finding.severity != Severity.NOTE and finding.code not in OF_THE_PLANNER
        if is_told and here.match(finding.where):
            said.append(f"{finding.where}: {finding.message}")
    if bar.is_over:
        said.append(say(sheet.language, "The work of this station is {rest}.", rest=bar.rest))
    return tuple(dict.fromkeys(said))
