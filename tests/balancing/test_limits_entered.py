"""Every limit that the machine keeps can be entered on a page, next to what it concerns."""

import pytest

from stationflow.balancing.limits.kinds import LIMITS
from stationflow.model.schema.columns import Column
from stationflow.model.schema.tables import TABLE

TASK_FIELDS = sorted({name for kind in LIMITS for name in kind.task_fields})
STATION_FIELDS = sorted({name for kind in LIMITS for name in kind.station_fields})
# What stands with the line, the equipment, two tasks, or a task at a station.
OTHERS = (
    "lines.turn_ms", "lines.height_range_mm", "lines.lift_kg", "lines.lifts_per_min",
    "lines.lifted_kg_per_min", "lines.pitch_m", "lines.repositioning_ms", "equipment.quantity",
    "equipment.cost", "equipment.shared", "lags.shortest_ms", "lags.longest_ms",
    "lags.least_stations", "lags.most_stations", "station_times.station", "station_times.time_ms",
)  # fmt: skip


def column(table: str, field: str) -> Column:
    return next(each for each in TABLE[table].columns if each.field == field)


@pytest.mark.parametrize("field", TASK_FIELDS)
def test_a_limit_of_a_task_has_a_field_in_the_form_of_its_limits(field: str):
    assert column("limits", field).form


@pytest.mark.parametrize("field", STATION_FIELDS)
def test_what_a_station_states_has_a_column_in_the_table_of_stations(field: str):
    assert column("stations", field).grid


@pytest.mark.parametrize("place", OTHERS)
def test_what_a_limit_rests_on_elsewhere_has_a_column_in_its_table(place: str):
    table, field = place.split(".")
    assert column(table, field).grid
