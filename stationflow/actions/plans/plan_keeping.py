"""Keep plans: save, put in force, say whether they still hold."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Protocol

from stationflow.balancing.balance import balance_product
from stationflow.balancing.methods import METHODS
from stationflow.balancing.plan_age import plan_differences
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import verify
from stationflow.balancing.work import line_work
from stationflow.errors import StoreError
from stationflow.model import BalanceResult, BalanceSettings, Finding, Plan, Product, warning
from stationflow.storage import Draft, Store
from stationflow.units import TimeUnit, show_seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanState:
    """A plan and how it stands to the product as it is now.

    Attributes
    ----------
    made_from
        The product exactly as it was when the plan was made.
    differences
        What differs now, in words; empty: the plan is up to date.
    verdict
        What is wrong with the plan against the product as it is now.
    """

    plan: Plan
    made_from: Product
    differences: tuple[str, ...]
    verdict: tuple[Finding, ...]

    @property
    def is_out_of_date(self) -> bool:
        """Whether the product changed in something the plan depends on."""
        return bool(self.differences)


def save_plan(
    store: Store,
    draft: Draft,
    result: BalanceResult,
    *,
    by: str,
    at: datetime,
    in_force: bool = True,
    name: str = "",
) -> Plan:
    """Store a balanced line as a plan, and put it in force unless told otherwise.

    Raises
    ------
    StoreError
        If the result holds no stations.
    """
    if not result.has_plan:
        raise StoreError("There are no stations to store as a plan.", "Balance the line first.")
    plan = Plan(
        product=draft.product.code,
        result=result,
        name=name or plan_name(result, draft.product.time_unit),
        product_version=draft.version,
        product_checksum=draft.checksum,
        by=by,
        at=at,
        in_force=in_force,
    )
    return store.add_plan(plan)


def plan_name(result: BalanceResult, unit: TimeUnit) -> str:
    """Return what a plan is called until the engineer gives it a name."""
    limit = f"limit {show_seconds(result.limit, unit)}" if result.limit else "shortest cycle"
    known = METHODS.get(result.method)
    method = _within_words(known.title) if known else "given"
    return f"{count(len(result.stations), 'station')}, {limit}, {method}"


def _within_words(title: str) -> str:
    """Return a method's title within other words; a name keeps its capitals: COMSOAL."""
    return title.lower() if title[1:].islower() else title


def balance_and_keep(
    store: Store,
    draft: Draft,
    line: str,
    settings: BalanceSettings,
    *,
    by: str,
    at: datetime,
    progress: Progress | None = None,
) -> Plan:
    """Balance a line and store what came out as a plan.

    The plan is put in force when the line has none in force yet; otherwise the
    engineer decides.

    Returns
    -------
    Plan
        The stored plan; `plan_id` is 0 when there were no stations to store, and
        the findings of its result say why.
    """
    result = balance_product(draft.product, line, settings, progress)
    if not result.has_plan:
        return Plan(product=draft.product.code, result=result)
    is_first = store.plan_in_force(draft.product.code, line) is None
    return save_plan(store, draft, result, by=by, at=at, in_force=is_first)


def put_in_force(store: Store, code: str, plan_id: int) -> Plan:
    """Put a stored plan in force for its line; an archived one comes back into the lists."""
    plan = store.put_in_force(code, plan_id)
    note = store.plan_notes(code).get(plan_id)
    if note is not None and note.archived:
        store.set_plan_note(code, plan_id, replace(note, archived=False))
    return plan


class Shown(Protocol):
    """A product as it is now, with its checksum: a draft of the store, or a source."""

    @property
    def product(self) -> Product | None:
        """The product."""

    @property
    def checksum(self) -> str:
        """Its checksum."""


def plan_state(store: Store | None, now: Shown, plan: Plan) -> PlanState:
    """Return a plan with what differs since it was made, and what `verify` says now.

    Parameters
    ----------
    store
        Where earlier versions are; None: the product comes from files.
    now
        The product as it is.
    plan
        One of its plans.
    """
    product = now.product
    assert product is not None
    if plan.product_checksum == now.checksum:
        return PlanState(plan=plan, made_from=product, differences=(), verdict=())
    made_from = _earlier(store, plan)
    if made_from is None:
        differences: tuple[str, ...] = ("The version the plan was made from is not there.",)
    else:
        differences = plan_differences(made_from, product, plan.line)
    return PlanState(
        plan=plan,
        made_from=made_from or product,
        differences=differences,
        verdict=_verdict(plan, product) if differences else (),
    )


def _earlier(store: Store | None, plan: Plan) -> Product | None:
    """Return the product a plan was made from; None: it came with files edited since."""
    if store is None:
        return None
    try:
        return store.saved_product(plan.product, plan.product_checksum)
    except StoreError:
        return None


def out_of_date_finding(state: PlanState) -> Finding | None:
    """Return the warning for a plan that is out of date, or None."""
    if not state.differences:
        return None
    more = len(state.differences) - 3
    said = " ".join(state.differences[:3]) + (f" And {more} more." if more > 0 else "")
    return warning("plan-out-of-date", f"Plan of line {state.plan.line}", said)


def _verdict(plan: Plan, now: Product) -> tuple[Finding, ...]:
    """Return what `verify` says of a plan against the product as it is now."""
    work, findings = line_work(now, plan.line)
    if work is None:
        return tuple(findings)
    stations = [station.tasks for station in plan.result.stations]
    return tuple(verify(work, stations, takt=plan.result.limit))


def balanced_times(product: Product, line: str) -> dict[str, float]:
    """Return the time of each task of a line as it is balanced, in seconds (mix-weighted)."""
    work, _ = line_work(product, line)
    if work is None:
        return {task.number: (task.time_ms or 0) / 1000 for task in product.tasks_of(line)}
    return {n: t / work.ticks for n, t in zip(work.numbers, work.times, strict=True)}
