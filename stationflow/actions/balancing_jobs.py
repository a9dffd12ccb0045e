"""Balance a line in a process of its own: the request, and what comes back."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from stationflow.actions.plans import balance_and_keep
from stationflow.actions.starting import open_store_at
from stationflow.balancing.balance import Progress
from stationflow.files.codec import plan_from_json, plan_to_json
from stationflow.model import BalanceResult, BalanceSettings, Plan
from stationflow.storage import Draft


def job_request(
    address: str, draft: Draft, line: str, settings: BalanceSettings, *, by: str
) -> dict[str, Any]:
    """Return the request for a job, ready for JSON.

    Parameters
    ----------
    address
        Address of the store.
    draft
        The product version to balance.
    by
        Who asked.
    """
    asked = Plan(
        product=draft.product.code,
        settings=settings,
        result=BalanceResult(line=line, goal=settings.goal, ending=None, method=settings.method),
        product_version=draft.version,
        product_checksum=draft.checksum,
        by=by,
        at=draft.at,
    )
    return {"address": address, "plan": plan_to_json(asked)}


def kept_plan(request: dict[str, Any], *, at: datetime, progress: Progress) -> str:
    """Serve a request: balance the version asked for, store the plan, return it as JSON."""
    asked = plan_from_json(request["plan"])
    store = open_store_at(request["address"])
    now = store.draft(asked.product)
    draft = replace(
        now,
        product=store.saved_product(asked.product, asked.product_checksum),
        version=asked.product_version,
        checksum=asked.product_checksum,
    )
    plan = balance_and_keep(
        store, draft, asked.line, asked.settings, by=asked.by, at=at, progress=progress
    )
    return plan_to_json(plan)


def plan_of_job(text: str) -> Plan:
    """Return the plan that a job reported."""
    return plan_from_json(text)
