"""Make a curve in a process of its own: the request, and what comes back."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from stationflow.actions.opening.starting import open_store_at
from stationflow.actions.plans.curves import CurveAnswer, curve_and_keep
from stationflow.balancing.curve.cycle_curve import CurveProgress
from stationflow.files.codec import CURVE
from stationflow.model import Author, CurvePoint, CurveSettings, CycleCurve, Severity, StoredCurve
from stationflow.storage import Draft


def curve_request(
    address: str, draft: Draft, line: str, settings: CurveSettings, *, by: str
) -> dict[str, Any]:
    """Return the request for a job, ready for JSON.

    Parameters
    ----------
    address
        Address of the store.
    draft
        The product version to make the curve of.
    line
        Name of the line.
    settings
        What is asked.
    by
        Who asked.
    """
    asked = StoredCurve(
        product=draft.product.code,
        settings=settings,
        curve=CycleCurve(line=line, points=(), tasks=0, work_content=0.0, longest=0.0),
        product_version=draft.version,
        product_checksum=draft.checksum,
        by=by,
        at=draft.at,
    )
    return {"kind": "curve", "address": address, "curve": CURVE.to_json(asked)}


def kept_curve(request: dict[str, Any], *, at: datetime, progress: CurveProgress) -> CurveAnswer:
    """Make the curve that a request asks for and keep it in the store."""
    asked = CURVE.from_json(request["curve"])
    store = open_store_at(request["address"])
    draft = replace(
        store.draft(asked.product),
        product=store.saved_product(asked.product, asked.product_checksum),
        version=asked.product_version,
        checksum=asked.product_checksum,
    )
    return curve_and_keep(
        store, draft, asked.line, asked.settings, by=Author(asked.by, at), progress=progress
    )


def refusal(answer: CurveAnswer) -> str:
    """Return why there is no curve, in sentences; empty: there is one."""
    if answer.curve is not None:
        return ""
    errors = [f for f in answer.findings if f.severity == Severity.ERROR]
    return "There is no curve. " + " ".join(f"{f.where}: {f.message}" for f in errors)


def point_event(point: CurvePoint) -> dict[str, Any]:
    """Return a point as an event of a job; its plan stays in the store."""
    return {
        "event": "point",
        "stations": point.stations,
        "cycle": point.cycle,
        "lower_bound": point.lower_bound,
    }


def point_of_job(event: dict[str, Any]) -> CurvePoint:
    """Return the point of an event."""
    return CurvePoint(
        stations=event["stations"], cycle=event["cycle"], lower_bound=event["lower_bound"]
    )


def curve_so_far(line: str, points: Sequence[CurvePoint]) -> CycleCurve | None:
    """Return the curve of the points told so far, without plans; None: none is told yet.

    The work content is the cycle of one station, and the longest task is the shortest cycle
    of all: with a station for each task there is a plan from the start.
    """
    known = {point.stations: point for point in points}
    if 1 not in known:
        return None
    longest = min(point.cycle for point in points)
    kept = [known[1]]
    while kept[-1].cycle > longest:
        stations = len(kept) + 1
        kept.append(known.get(stations, replace(kept[-1], stations=stations)))
    return CycleCurve(
        line=line,
        points=tuple(kept),
        tasks=len(kept),
        work_content=kept[0].cycle,
        longest=longest,
    )
