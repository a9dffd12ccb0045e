"""The curve of stations against cycle time, as chart and as file. Values are by hand."""

from xml.etree import ElementTree

import altair as alt
import pytest

from stationflow.drawing.charts.curve_chart import OPEN_POINTS, PICK, curve_chart, curve_file
from stationflow.drawing.palette import ON_DARK, ON_PAPER, Inks
from stationflow.model import CurvePoint, CycleCurve
from stationflow.units import TimeUnit


def curve(*points: tuple[int, float, float]) -> CycleCurve:
    """Return a curve of points with stations, bound and cycle."""
    return CycleCurve(
        line="main",
        points=tuple(CurvePoint(stations=n, lower_bound=low, cycle=c) for n, low, c in points),
        tasks=9,
        work_content=120,
        longest=30,
    )


OPEN = curve((1, 120, 120), (2, 50, 60), (3, 40, 45), (4, 30, 30))
STEEP = curve((1, 900, 900), (2, 450, 500), (3, 100, 100))
NOTHING = curve((1, 0, 0))


def rows(*asked, unit: TimeUnit = TimeUnit.SECOND) -> list[dict]:
    return curve_chart(*asked, unit)["data"]["values"]


def answer_words(limit: float) -> list[str]:
    """Return the words that stand at the point that answers the demand."""
    layers = marks(curve_chart(OPEN, limit), "text")
    return [layer["encoding"]["text"]["value"] for layer in layers if "transform" in layer]


def marks(chart: dict, kind: str) -> list[dict]:
    return [layer for layer in chart["layer"] if layer["mark"]["type"] == kind]


@pytest.mark.parametrize("limit", [None, 50.0])
@pytest.mark.parametrize("inks", [ON_PAPER, ON_DARK])
@pytest.mark.parametrize("points", [OPEN, STEEP, NOTHING])
def test_the_chart_keeps_to_the_published_schema(limit: float | None, inks: Inks, points):
    alt.LayerChart.from_dict(curve_chart(points, limit, inks=inks), validate=True)


def test_a_click_names_the_number_of_stations():
    (params,) = [layer["params"] for layer in curve_chart(OPEN, 50)["layer"] if "params" in layer]
    assert [(p["name"], p["select"]["fields"]) for p in params] == [(PICK, ["stations"])]


def test_only_open_points_have_a_bar_to_their_bound():
    bars = marks(curve_chart(OPEN, None), "rule")
    assert [bar["transform"] for bar in bars] == [[{"filter": "datum.open"}]]
    assert [row["open"] for row in rows(OPEN, None)] == [
        False, True, True, False,
    ]  # fmt: skip


def test_the_demand_is_a_line_with_words():
    (line,) = [rule for rule in marks(curve_chart(OPEN, 50), "rule") if "data" in rule]
    assert line["data"]["values"] == [{"limit": 50, "words": "demand: 50.0 s"}]


def test_the_answer_to_the_demand_is_marked():
    marked = [row["answer"] for row in rows(OPEN, 50)]
    assert (marked, answer_words(50)) == ([False, False, True, False], ["3 stations"])


def test_a_demand_that_nothing_keeps_marks_no_point():
    assert (any(row["answer"] for row in rows(OPEN, 29)), answer_words(29)) == (False, [])


def test_efficiency_stands_in_the_tooltip():
    (points,) = [layer for layer in marks(curve_chart(OPEN, None), "point") if "params" in layer]
    assert "efficiency_words" in [each["field"] for each in points["encoding"]["tooltip"]]
    # 120 / (4 x 30) = 100 %, 120 / (2 x 60) = 100 %, 120 / (3 x 45) = 88.9 %
    shown = [row["efficiency_words"] for row in rows(OPEN, None)]
    assert shown == ["100.0 %", "100.0 %", "88.9 %", "100.0 %"]


@pytest.mark.parametrize(
    ("limit", "side"),
    [(120, ("left", "bottom")), (60, ("left", "bottom")), (50, ("right", "top"))],
)
def test_the_words_of_the_answer_stand_where_the_curve_is_not(limit: float, side: tuple[str, str]):
    # 1, 2 and 3 of 4 stations; in the right half the demand's own words stand above the line.
    (words,) = [
        layer["mark"]
        for layer in curve_chart(OPEN, limit)["layer"]
        if layer["mark"]["type"] == "text" and "transform" in layer
    ]
    assert (words["align"], words["baseline"]) == side


def test_times_are_in_the_unit_of_the_product():
    (line,) = [r for r in marks(curve_chart(OPEN, 60, TimeUnit.MINUTE), "rule") if "data" in r]
    shown = [row["cycle"] for row in rows(OPEN, 60, unit=TimeUnit.MINUTE)]
    assert (shown, line["data"]["values"][0]["limit"]) == ([2, 1, 0.75, 0.5], 1)


def test_a_steep_curve_has_a_logarithmic_axis_and_says_so():
    axis = curve_chart(STEEP, None)["layer"][0]["encoding"]["y"]
    assert (axis["scale"]["type"], axis["title"]) == ("log", "Cycle time (s, logarithmic)")


def test_a_flat_curve_begins_at_zero():
    assert curve_chart(OPEN, None)["layer"][0]["encoding"]["y"]["scale"]["domain"][0] == 0


def test_the_chart_says_what_it_shows_to_those_who_do_not_see_it():
    assert curve_chart(OPEN, 50)["description"] == (
        "Shortest cycle time of 1 to 4 stations, 2 points proven, 2 between bound and plan; "
        "3 stations for the demand of 50.0 s."
    )


def drawn(points: CycleCurve, limit: float | None) -> ElementTree.Element:
    """Return the curve as a file."""
    return ElementTree.fromstring(curve_file(points, limit, TimeUnit.SECOND, "A & B", "svg"))


@pytest.mark.parametrize("points", [OPEN, STEEP, NOTHING])
@pytest.mark.parametrize("limit", [None, 50.0])
def test_the_file_has_every_point(points: CycleCurve, limit: float | None):
    labels = [e.get("aria-label", "") for e in drawn(points, limit).iter()]
    found = {label.split(";")[0] for label in labels if label.startswith("Stations: ")}
    assert found >= {f"Stations: {point.stations}" for point in points.points}


def test_the_file_names_demand_and_answer():
    texts = {element.text for element in drawn(OPEN, 50).iter()}
    assert {"demand: 50.0 s", "3 stations"} <= texts


def test_the_file_explains_its_open_points():
    assert OPEN_POINTS in {element.text for element in drawn(OPEN, None).iter()}
    assert OPEN_POINTS not in {element.text for element in drawn(NOTHING, None).iter()}
