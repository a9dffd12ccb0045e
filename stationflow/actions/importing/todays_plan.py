"""The stations a sheet names, as a plan "as it stands today"."""

from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.balancing.todays_stations import Stations, station_names, todays_result
from stationflow.model import Plan, Product, has_errors

NAME = "as it stands today"


def todays_plan(product: Product, line: str, stations: Stations) -> Plan | None:
    """Return the stations of today as a plan; None when the line's tasks have errors.

    It says that it is in force when it holds. Names of stations that are not their numbers stand
    in its remark.
    """
    result = todays_result(product, line, stations)
    if result is None:
        return None
    return Plan(
        product=product.code,
        result=result,
        name=NAME,
        remark=station_names(stations),
        inputs=plan_inputs_checksum(product, line),
        in_force=not has_errors(result.findings),
    )
