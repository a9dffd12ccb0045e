"""Keep plans: save, put in force, say whether they still hold."""

from stationflow.balancing.balance import balance_product
from stationflow.balancing.impossible.explained_result import with_ways_out
from stationflow.balancing.methods import method_title
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.balancing.work import line_work
from stationflow.errors import StoreError
from stationflow.model import Author, BalanceResult, BalanceSettings, Plan
from stationflow.storage import Draft, Store
from stationflow.units import TimeUnit, show_seconds


def save_plan(
    store: Store,
    draft: Draft,
    result: BalanceResult,
    *,
    by: Author,
    if_first: bool = True,
    name: str = "",
    remark: str = "",
) -> Plan:
    """Store a balanced line as a plan; `if_first`: in force when its line has none in force.

    When the line has the same plan already, that one is returned (`was_there` tells).

    StoreError if the result holds no stations.
    """
    if not result.has_plan:
        raise StoreError("There are no stations to store as a plan.", "Balance the line first.")
    plan = Plan(
        product=draft.product.code,
        result=result,
        name=name or plan_name(result, draft.product.time_unit),
        remark=remark,
        product_version=draft.version,
        product_checksum=draft.checksum,
        inputs=plan_inputs_checksum(draft.product, result.line),
    )
    return store.add_plan(plan, by=by, if_first=if_first)


def was_there(plan: Plan, by: Author) -> bool:
    """Return whether a plan was stored before somebody asked for it: it came out once more."""
    return plan.at is not None and plan.at < by.at


def kept_words(plan: Plan, by: Author) -> str:
    """Return what became of a plan somebody asked for, in a sentence."""
    if was_there(plan, by):
        return f"The same as {plan.label}, which is there already: nothing new is stored."
    return f"Plan {plan.number} is stored: {plan.name}."


def plan_name(result: BalanceResult, unit: TimeUnit) -> str:
    """Return what a plan is called until the engineer gives it a name."""
    limit = f"limit {show_seconds(result.limit, unit)}" if result.limit else "shortest cycle"
    if made := result.rebalanced:
        of_old = f"rebalanced, {count(len(made.moves), 'move')}"
        return f"{count(len(result.stations), 'station')}, {limit}, {of_old}"
    method = _within_words(method_title(result.method))
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
    by: Author,
    progress: Progress | None = None,
) -> Plan:
    """Balance a line and store what came out as a plan.

    It is put in force when the line has none in force yet. Its `plan_id` is 0 when there were
    no stations to store; the findings of its result then say why.
    """
    result = balance_product(draft.product, line, settings, progress)
    if not result.has_plan:
        work, _ = line_work(draft.product, line)
        result = with_ways_out(work, result) if work else result
        return Plan(product=draft.product.code, result=result)
    return save_plan(store, draft, result, by=by)
