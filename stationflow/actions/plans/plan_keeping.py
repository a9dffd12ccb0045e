"""Keep plans: save, put in force, say whether they still hold."""

from dataclasses import replace
from datetime import datetime

from stationflow.balancing.balance import balance_product
from stationflow.balancing.methods import METHODS
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.errors import StoreError
from stationflow.model import BalanceResult, BalanceSettings, Plan
from stationflow.storage import Draft, Store
from stationflow.units import TimeUnit, show_seconds


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
