"""Balance a line in a process of its own: the request, and what comes back."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import Any

from stationflow.actions.opening.starting import open_store_at
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.balancing.progress import Progress
from stationflow.files.codec import PLAN
from stationflow.model import Author, BalanceResult, BalanceSettings, Plan
from stationflow.storage import Draft


def job_request(
    address: str, draft: Draft, line: str, *settings: BalanceSettings, by: str
) -> dict[str, Any]:
    """Return the request for a job, ready for JSON.

    Parameters
    ----------
    address
        Address of the store.
    draft
        The product version to balance.
    line
        Name of the line.
    settings
        What is asked; several are served one after the other.
    by
        Who asked.
    """
    asked = [
        Plan(
            product=draft.product.code,
            settings=each,
            result=BalanceResult(line=line, goal=each.goal, ending=None, method=each.method),
            product_version=draft.version,
            product_checksum=draft.checksum,
            by=by,
            at=draft.at,
        )
        for each in settings
    ]
    return {"kind": "balance", "address": address, "plans": [PLAN.to_json(plan) for plan in asked]}


def asked_plans(request: dict[str, Any]) -> Iterator[tuple[str, Plan]]:
    """Yield the address of the store with each plan that a request asks for."""
    for text in request["plans"]:
        yield request["address"], PLAN.from_json(text)


def kept_plan(address: str, asked: Plan, *, at: datetime, progress: Progress) -> str:
    """Balance the version asked for, store the plan, return it as JSON."""
    store = open_store_at(address)
    now = store.draft(asked.product)
    draft = replace(
        now,
        product=store.saved_product(asked.product, asked.product_checksum),
        version=asked.product_version,
        checksum=asked.product_checksum,
    )
    plan = balance_and_keep(
        store, draft, asked.line, asked.settings, by=Author(asked.by, at), progress=progress
    )
    return PLAN.to_json(plan)


def plan_of_job(text: str) -> Plan:
    """Return the plan that a job reported."""
    return PLAN.from_json(text)
