"""The simulation gives what is known exactly, within its limits of confidence."""

import pytest

from stationflow.line.simulation.flow_run import FlowRun
from tests.line.simulation.published_flows import EXACT, FLOATS, floats, gamma_lines
from tests.line.simulation.small_flows import is_near, line_with_float


@pytest.mark.parametrize("row", EXACT, ids=lambda row: row.name)
def test_exact_values_lie_within_the_limits(row):
    assert is_near(row.simulated(), row.exact), row.source


@pytest.mark.parametrize("row", gamma_lines(), ids=lambda row: row.name)
def test_another_simulation_gives_the_same(row):
    # Theirs is given to 0.003; ours scatters by 0.001 (cv 0.5 over ten runs of 40,000 units).
    assert row.simulated().mean == pytest.approx(row.exact, abs=0.004)


@pytest.mark.campaign
@pytest.mark.parametrize("row", EXACT, ids=lambda row: row.name)
def test_exact_values_lie_within_closer_limits_of_longer_runs(row):
    found = row.simulated(times=30.0, seed=2)
    assert is_near(found, row.exact), row.source
    # Ten runs of 600,000 s: the sharpest of these values is given to four digits.
    assert found.mean == pytest.approx(row.exact, rel=0.02, abs=2e-4)


@pytest.mark.parametrize(("row", "mean"), list(zip(floats(), [m for _, m in FLOATS], strict=True)))
def test_empty_places_shorten_the_wait_of_repaired_units(row, mean):
    # Another simulation of the same rule gives the means to two figures: half a unit of the last.
    found = row.simulated()
    assert found.low - 0.05 <= mean <= found.high + 0.05


def test_units_off_the_line_are_the_highest_number_ever_in_repair():
    # Without empty places and scrap each reject opens one place, which a unit that waits takes at
    # once. So none is left to wait unless fewer are in repair than ever were: those off the line
    # only grow in number.
    run = FlowRun(line_with_float(0.08, 0.0, 0.0), 1)
    highest = 0
    for step in range(3_000):
        run.run([step + 0.25])
        stations, buffers = run.tables.stations, run.tables.buffers
        benches = run.tables.servers[run.tables.servers["station"] == 3]
        in_repair = int((benches["unit"] >= 0).sum()) + int(buffers["level"][0])
        highest = max(highest, in_repair)
        assert len(stations) == 4
        assert in_repair + int(buffers["level"][1]) == highest
    assert highest > 10
