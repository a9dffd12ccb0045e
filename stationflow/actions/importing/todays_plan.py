"""The stations a sheet names, kept as a plan "as it stands today"."""

from datetime import datetime

from stationflow.balancing.todays_stations import Stations, station_names, todays_result
from stationflow.model import Plan, has_errors
from stationflow.storage import Draft, PlanNote, Store

NAME = "as it stands today"


def keep_todays_plan(
    store: Store, draft: Draft, line: str, stations: Stations, *, by: str, at: datetime
) -> Plan | None:
    """Store the stations of today as a plan; None when the line's tasks have errors.

    It is put in force when it holds and the line has no plan in force. Names of stations
    that are not their numbers are kept in the plan's remark.
    """
    result = todays_result(draft.product, line, stations)
    if result is None:
        return None
    code = draft.product.code
    is_first = store.plan_in_force(code, line) is None
    plan = store.add_plan(
        Plan(
            product=code,
            result=result,
            name=NAME,
            product_version=draft.version,
            product_checksum=draft.checksum,
            by=by,
            at=at,
            in_force=is_first and not has_errors(result.findings),
        )
    )
    remark = station_names(stations)
    if remark:
        store.set_plan_note(code, plan.plan_id, PlanNote(remark=remark))
    return plan
