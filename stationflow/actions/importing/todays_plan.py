"""The stations a sheet names, kept as a plan "as it stands today"."""

from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.balancing.todays_stations import Stations, station_names, todays_result
from stationflow.model import Author, Plan, has_errors
from stationflow.storage import Draft, Store

NAME = "as it stands today"


def keep_todays_plan(
    store: Store, draft: Draft, line: str, stations: Stations, *, by: Author
) -> Plan | None:
    """Store the stations of today as a plan; None when the line's tasks have errors.

    It is put in force when it holds and the line has no plan in force. Names of stations
    that are not their numbers are kept in the plan's remark.
    """
    result = todays_result(draft.product, line, stations)
    if result is None:
        return None
    return store.add_plan(
        Plan(
            product=draft.product.code,
            result=result,
            name=NAME,
            remark=station_names(stations),
            product_version=draft.version,
            product_checksum=draft.checksum,
            inputs=plan_inputs_checksum(draft.product, line),
        ),
        by=by,
        if_first=not has_errors(result.findings),
    )
