"""Keep plans: save, put in force, say whether they still hold."""

from dataclasses import replace
from typing import Any

from stationflow.balancing.balance import balance_product
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import Options
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.errors import StoreError
from stationflow.model import Author, BalanceResult, BalanceSettings, Plan
from stationflow.storage import Draft, Store
from stationflow.units import TimeUnit, show_seconds


def save_plan(
    store: Store,
    draft: Draft,
    settings: BalanceSettings,
    result: BalanceResult,
    *,
    by: Author,
    if_first: bool = True,
    name: str = "",
) -> Plan:
    """Store a balanced line as a plan; `if_first`: in force when its line has none in force.

    Raises
    ------
    StoreError
        If the result holds no stations.
    """
    if not result.has_plan:
        raise StoreError("There are no stations to store as a plan.", "Balance the line first.")
    plan = Plan(
        product=draft.product.code,
        settings=settings,
        result=result,
        name=name or plan_name(result, draft.product.time_unit),
        product_version=draft.version,
        product_checksum=draft.checksum,
    )
    return store.add_plan(plan, by=by, if_first=if_first)


def plan_name(result: BalanceResult, unit: TimeUnit) -> str:
    """Return what a plan is called until the engineer gives it a name."""
    limit = f"limit {show_seconds(result.takt, unit)}" if result.takt else "shortest cycle"
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
    by: Author,
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
    settings = complete_settings(settings)
    result = balance_product(draft.product, line, settings, progress)
    if not result.has_plan:
        return Plan(product=draft.product.code, settings=settings, result=result)
    return save_plan(store, draft, settings, result, by=by)


def complete_settings(settings: BalanceSettings) -> BalanceSettings:
    """Return settings with every option that the method uses written out.

    A stored plan then says all it needs to be made again, whatever the defaults become.
    """
    info, usual = METHODS[settings.method], Options()
    given = {
        "direction": settings.direction or usual.direction,
        "seconds": info.seconds if settings.seconds is None else settings.seconds,
        "trials": settings.trials or usual.trials,
        "seed": usual.seed if settings.seed is None else settings.seed,
        "cores": settings.cores or usual.cores,
        "memory_mb": settings.memory_mb or usual.memory_mb,
        "nodes": settings.nodes,
    }
    used: dict[str, Any] = {name: value for name, value in given.items() if name in info.uses}
    return replace(settings, **used)
