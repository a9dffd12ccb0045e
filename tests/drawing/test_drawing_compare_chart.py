"""Charts of plans side by side say in words what they show in bars."""

from small_plans import answer, station

from stationflow.drawing.charts.compare_chart import PlanBar, figure_chart, loads_charts
from stationflow.drawing.palette import ON_DARK
from stationflow.model import BalanceResult
from stationflow.units import TimeUnit


def result(*loads: float, limit: float | None = 60) -> BalanceResult:
    stations = [station(n, (str(n),), load) for n, load in enumerate(loads, 1)]
    return answer(*stations, limit=limit)


def axis_tops(charts: list[dict]) -> set[float]:
    return {chart["layer"][0]["encoding"]["y"]["scale"]["domain"][1] for chart in charts}


def marks(chart: dict, kind: str) -> list[dict]:
    return [layer for layer in chart["layer"] if layer["mark"]["type"] == kind]


def test_all_plans_have_one_time_axis():
    charts = loads_charts([("A", result(55, 40)), ("B", result(30, limit=90))], TimeUnit.SECOND)
    assert len(axis_tops(charts)) == 1


def test_a_plan_without_a_limit_has_no_limit_line():
    (chart,) = loads_charts([("A", result(55, limit=None))], TimeUnit.SECOND)
    assert marks(chart, "rule") == []


def test_loads_are_shown_in_the_unit_of_the_product():
    (chart,) = loads_charts([("A", result(30))], TimeUnit.MINUTE)
    assert chart["data"]["values"][0]["load"] == 0.5


def test_a_station_over_the_limit_is_marked():
    (chart,) = loads_charts([("A", result(61, 40))], TimeUnit.SECOND)
    assert [row["over"] for row in chart["data"]["values"]] == [True, False]


def test_the_best_bar_carries_the_word():
    bars = [
        PlanBar(label="A", value=5, words="5"),
        PlanBar(label="B", value=4, words="4", is_best=True),
    ]
    rows = figure_chart("Stations", bars)["data"]["values"]
    assert [row["mark"] for row in rows] == ["", "best"]


def test_a_figure_that_is_missing_says_so_without_a_bar():
    rows = figure_chart("Stations", [PlanBar(label="A", value=None, words="-")])["data"]["values"]
    assert (rows[0]["value"], rows[0]["words"]) == (0.0, "-")


def test_a_chart_on_a_dark_page_has_its_inks():
    chart = figure_chart("Stations", [PlanBar(label="A", value=1, words="1")], inks=ON_DARK)
    assert {text["mark"]["color"] for text in marks(chart, "text")} == {ON_DARK.ink}
