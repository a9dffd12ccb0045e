"""Where the work on a product stands: one sentence for each page of the job."""

from collections.abc import Iterable
from dataclasses import dataclass

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import plan_state
from stationflow.balancing.task_check import check_tasks
from stationflow.balancing.time_words import count
from stationflow.cards.contents.selfcheck import check_cards
from stationflow.line.entered_checks import check_flow
from stationflow.line.left_out import all_left_out
from stationflow.model import Finding, Line, Product, Severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import check_pace, line_pace
from stationflow.supply.parts_list import check_parts
from stationflow.units import show_seconds

MOST_NAMED = 3  # tasks without a time
MOST_CURES = 2  # of a pace that cannot be computed


@dataclass(frozen=True, slots=True, kw_only=True)
class PageState:
    """How far the work of one page is done."""

    page: str  # "tasks", "pace", "balance", "line" or "cards"
    is_done: bool  # whether nothing is left to do there before the next page
    said: str  # what is there, or what to do first


def work_state(opened: Opened) -> tuple[PageState, ...]:
    """Return how far the work on a product is, page by page in the order of the job."""
    product = opened.product
    balance, cards = _of_plans(opened)
    line = _of_line(product, balance)
    return (_of_tasks(product), _of_pace(product), balance, line, cards)


def missing_next(opened: Opened, page: str) -> PageState | None:
    """Return what is to be done next for the page, or after it; None: nothing is missing."""
    left = [state for state in work_state(opened) if not state.is_done]
    return next((state for state in left if state.page == page), left[0] if left else None)


def _of_tasks(product: Product) -> PageState:
    """Say what is to be done about the tasks."""
    if not product.tasks:
        said = "No tasks yet. Import a spreadsheet, or type them."
        return PageState(page="tasks", is_done=False, said=said)
    found = (*check_tasks(product), *check_lines(product))
    errors = _errors(found)
    beside = _errors((*check_parts(product), *check_cards(product)))
    tasks = count(len(product.tasks), "task")
    untimed = [t.number for t in product.tasks if t.time_ms is None and not t.model_times]
    if errors > sum(finding.code == "task-without-time" for finding in found):
        said = f"{tasks}. {count(errors, 'error')} to cure first."
    elif untimed:
        more = " ..." if len(untimed) > MOST_NAMED else "."
        said = f"{tasks}, {len(untimed)} without a time: {', '.join(untimed[:MOST_NAMED])}{more}"
    elif beside:
        said = f"{tasks}, ready to balance. {count(beside, 'error')} of parts and cards."
    else:
        said = f"{tasks}, no errors."
    return PageState(page="tasks", is_done=not errors and not untimed, said=said)


def _errors(findings: Iterable[Finding]) -> int:
    return sum(finding.severity == Severity.ERROR for finding in findings)


def _of_pace(product: Product) -> PageState:
    """Say what is to be done about the pace."""
    main = product.main_line
    pace = line_pace(product, main.name) if main else None
    if pace is None or pace.station_time_s is None:
        found = (*check_pace(product), *check_lines(product))
        cures = dict.fromkeys(f.hint for f in found if f.severity == Severity.ERROR)
        said = " ".join(["No pace yet.", *list(cures)[:MOST_CURES]])
        return PageState(page="pace", is_done=False, said=said)
    shown = show_seconds(pace.station_time_s, product.time_unit)
    return PageState(page="pace", is_done=True, said=f"Station time {shown} on the main line.")


def _of_plans(opened: Opened) -> tuple[PageState, PageState]:
    """Say what is to be done about plans and cards."""
    lines = [line for line in opened.product.lines if opened.product.tasks_of(line.name)]
    plans = [_plan_of(opened, line) for line in lines]
    stations = sum(held for held, _ in plans)
    without = [line.label for line, (held, _) in zip(lines, plans, strict=True) if not held]
    old = sum(is_old for _, is_old in plans)
    of_lines = f"of {count(len(lines), 'line')}"
    if without or not lines:
        is_none = len(without) == len(lines)
        said = "No plan in force yet." if is_none else f"No plan in force: {', '.join(without)}."
        cards = (
            "Balance first: cards are made from the plan in force."
            if is_none
            else f"{count(stations, 'card')} can be printed; none yet: {', '.join(without)}."
        )
    elif old:
        said = f"The plan in force is out of date on {old} {of_lines}."
        cards = f"{count(stations, 'card')}, marked as out of date."
    else:
        said = f"In force: {count(stations, 'station')} on {count(len(lines), 'line')}."
        cards = f"{count(stations, 'card')} can be printed."
    is_done = bool(lines) and not without and not old
    return (
        PageState(page="balance", is_done=is_done, said=said),
        PageState(page="cards", is_done=is_done, said=cards),
    )


def _of_line(product: Product, balance: PageState) -> PageState:
    """Say what is to be done about the line as a whole; its figures take too long to count here."""
    errors = _errors((*all_left_out(product), *check_flow(product)))
    if errors:
        said = f"{count(errors, 'error')} in what is entered about the whole line."
    elif not balance.is_done:
        said = "Balance first: the whole line is counted from the plans in force."
    else:
        said = "Counted from the plans in force."
    return PageState(page="line", is_done=balance.is_done and not errors, said=said)


def _plan_of(opened: Opened, line: Line) -> tuple[int, bool]:
    """Return the stations of a line's plan in force (0: none), and whether it is out of date."""
    plan = opened.plan_in_force(line.name)
    if plan is None:
        return 0, False
    return len(plan.result.stations), plan_state(opened, plan).is_out_of_date
