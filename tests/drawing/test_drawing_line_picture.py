"""The drawing of the line shows every station, feeder and position where it is."""

import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_plans import answer, station

from stationflow.drawing.line_drawing.line_content import DrawnLine, drawn_lines
from stationflow.drawing.line_drawing.line_layout import (
    LEAST_WIDTH,
    MOST_IN_ROW,
    OVERVIEW,
    WALL,
    Row,
    laid_out,
)
from stationflow.drawing.line_drawing.line_picture import line_overview, line_picture
from stationflow.drawing.render import render_svg
from stationflow.model import (
    FurtherJoin,
    Line,
    Machine,
    MachineKind,
    Packing,
    Product,
    QualityKind,
    QualityStep,
    StationSetting,
    Task,
)
from stationflow.model.product_plan import LinePlan, ProductPlan


def line_of(name: str, stations: int, limit: float = 60.0) -> tuple[list[Task], LinePlan]:
    """Return a line with one task of 30 s at each station, and its plan."""
    tasks = [
        Task(number=f"{name[0]}{n}", name=f"Fit part {n} to {name}", line=name, time_ms=30_000)
        for n in range(1, stations + 1)
    ]
    made = answer(
        *(station(n, [task.number], 30.0) for n, task in enumerate(tasks, start=1)),
        line=name,
        limit=limit,
    )
    return tasks, LinePlan(line=name, result=made)


def product_of(*lines: Line, stations: int = 5, **more: object) -> tuple[Product, ProductPlan]:
    """Return a product of some lines of so many stations each, with the plans of all."""
    parts = [line_of(line.name, stations) for line in lines]
    tasks = tuple(task for made, _ in parts for task in made)
    product = Product(code="P-1", name="Pump & <motor>", lines=lines, tasks=tasks, **more)
    return product, ProductPlan(lines=tuple(plan for _, plan in parts))


MAIN = Line(name="main", pitch_m=1.2)
FEEDER = Line(name="board", title="Board line", feeds="main", join="m3", buffer_places=8)
PUMP, PLAN = product_of(MAIN, FEEDER)


def words(svg: str) -> list[str]:
    """Return each text of a drawing."""
    return [e.text or "" for e in ElementTree.fromstring(svg).iter() if e.tag.endswith("}text")]


def every_row(rows: list[Row]) -> list[Row]:
    return [each for row in rows for each in (row, *every_row(list(row.feeders)))]


def test_every_station_stands_there_with_its_number_and_load():
    said = words(line_picture(PUMP, PLAN))
    assert [said.count(str(n)) for n in range(1, 6)] == [2] * 5
    assert said.count("30") == 10


def test_pointing_at_a_station_names_all_its_tasks():
    assert "<title>Station 2, 30 s: m2 Fit part 2 to main</title>" in line_picture(PUMP, PLAN)


def test_names_are_escaped():
    assert "Pump &amp; &lt;motor&gt;" in line_picture(PUMP, PLAN)


def test_the_arrow_of_a_feeder_ends_at_the_station_that_takes_its_units():
    (main,) = laid_out(drawn_lines(PUMP, PLAN))
    box = next(b for b in main.boxes if b.station and b.station.number == 3)
    (board,) = main.feeders
    assert board.join is not None
    assert box.x < board.join[0] < box.x + box.width


def test_stations_of_a_line_with_a_pitch_are_to_scale_and_it_says_so():
    long = replace(MAIN, stations=(StationSetting(number=2, length_m=2.4),))
    product, plan = product_of(long, FEEDER)
    (main,) = laid_out(drawn_lines(product, plan))
    widths = [box.width for box in main.boxes]
    assert widths[1] == pytest.approx(2 * widths[0])  # 2.4 m beside 1.2 m
    assert any(
        said.endswith("To scale along the lines but Board line: no pitch is entered there.")
        for said in words(line_picture(product, plan))
    )


def test_without_a_pitch_it_says_that_it_is_not_to_scale():
    product, plan = product_of(replace(MAIN, pitch_m=None), FEEDER)
    assert "Not to scale" in line_picture(product, plan)


def test_a_line_longer_than_the_hall_is_told_by_words():
    product, plan = product_of(replace(MAIN, hall_m=5.0))  # 5 stations of 1.2 m: 6 m
    said = words(line_picture(product, plan))
    assert "6 m" in said
    assert "room for it 5 m: too short" in said


def test_a_line_without_a_plan_is_an_empty_frame_with_the_reason():
    svg = line_picture(PUMP, ProductPlan(lines=PLAN.lines[:1]))
    assert "no plan in force," in " ".join(words(svg))


def test_a_bought_in_unit_is_drawn_without_stations():
    bought = replace(FEEDER, bought_in=True)
    product = replace(PUMP, lines=(MAIN, bought), tasks=PUMP.tasks_of("main"))
    assert "bought in" in words(line_picture(product, ProductPlan(lines=PLAN.lines[:1])))


def test_a_feeder_of_a_feeder_lies_beyond_it():
    inner = Line(name="coil", feeds="board", join="b2")
    product, plan = product_of(MAIN, FEEDER, inner)
    (main,) = laid_out(drawn_lines(product, plan))
    assert main.feeders[0].feeders[0].bottom < main.feeders[0].y < main.y


def test_a_long_main_line_goes_on_in_the_row_below():
    product, plan = product_of(MAIN, replace(FEEDER, join="m45"), stations=50)
    rows = laid_out(drawn_lines(product, plan))
    assert [len(row.boxes) for row in rows] == [25, 25]
    assert max(len(row.boxes) for row in rows) <= MOST_IN_ROW
    assert [len(row.feeders) for row in rows] == [0, 1]


def test_names_have_room_at_thirty_stations():
    product, plan = product_of(replace(MAIN, pitch_m=0.5), stations=30)
    (main,) = laid_out(drawn_lines(product, plan))
    assert min(box.width for box in main.boxes) >= LEAST_WIDTH


def test_each_line_of_a_circle_is_drawn_once():
    circle = (
        replace(FEEDER, join="c1", feeds="coil"),
        Line(name="coil", feeds="board", join="b1"),
    )
    product, plan = product_of(MAIN, *circle)
    names = [part.line.name for line in drawn_lines(product, plan) for part in line.all()]
    assert len(names) == len(set(names))
    assert "main" in names


GATES = (
    QualityStep(kind=QualityKind.FUNCTION_TEST, first_pass_share=0.96, repair_ms=540_000),
    QualityStep(kind=QualityKind.SOAK, process_ms=900_000, positions=24),
    QualityStep(kind=QualityKind.INSPECTION),
)


def whole() -> tuple[Product, ProductPlan]:
    """Return a line with a machine ahead, one at a station, three gates and packing."""
    product, plan = product_of(
        MAIN,
        FEEDER,
        machines=(
            Machine(name="Washer", kind=MachineKind.BATCH),
            Machine(name="Press", kind=MachineKind.PRESS, task="m1"),
        ),
        joins=(FurtherJoin(line="board", feeds="main", join="m5", quantity=2),),
        packing=Packing(gross_kg=8.2, per_pallet=24),
    )
    tasks = list(product.tasks)
    for at, step in zip((1, 2, 3), GATES, strict=True):
        tasks[at] = replace(tasks[at], quality=step)
    return replace(product, tasks=tuple(tasks)), plan


def test_machines_tests_repair_soak_joins_and_packing_are_numbered_from_left_to_right():
    codes = [mark.code for line in drawn_lines(*whole()) for mark in line.marks()]
    assert codes == ["M1", "M2", "T1", "R1", "S1", "I1", "J1", "P1"]


@pytest.mark.parametrize(
    "said",
    [
        "batch, ahead of main",
        "press, station 1 of main",
        "task m2, station 2 of main, first pass 96 %",
        "mean 540 s, back into the line before the test",
        "task m3, station 3 of main, 900 s, 24 positions",
        "2 for each unit, station 5 of main",
        "8.2 kg, 24 on a pallet",
    ],
)
def test_the_list_of_positions_says(said):
    assert said in words(line_picture(*whole()))


def test_each_sign_is_told_by_its_form_not_by_a_colour():
    """Ink, ground and two greys of the edge: nothing else is a colour on paper."""
    colours = set(re.findall(r"#[0-9A-Fa-f]{6}", line_picture(*whole())))
    assert colours == {"#1A1A1A", "#FFFFFF", "#6E7781", "#CC3311"}  # the last: hatch of overload


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_it_is_printed_as(kind):
    assert render_svg(line_picture(*whole()), kind, "Line")[:4] in (b"\x89PNG", b"%PDF")


def test_an_overview_has_lines_stations_and_positions_but_no_bench_and_no_name():
    said = words(line_overview(*whole()))
    assert [said.count(str(n)) for n in range(1, 6)] == [2] * 5
    shown = {"Board line", "M1", "M2", "T1", "S1", "I1", "J1", "P1"}
    assert (shown <= {*said}, {"R1", "Fit part 1 to main", "30"} & {*said}) == (True, set())


def test_an_arrow_from_below_does_not_run_behind_the_positions_of_a_narrow_station():
    # Both join where a test is; the second would have the nearest place below, is put above.
    feeders = (replace(FEEDER, join="m2"), Line(name="coil", feeds="main", join="m2"))
    product, plan = product_of(replace(MAIN, pitch_m=0.5), *feeders)
    tasks = [replace(t, quality=GATES[0]) if t.number == "m2" else t for t in product.tasks]
    (main,) = laid_out(drawn_lines(replace(product, tasks=tuple(tasks)), plan), OVERVIEW)
    assert [row.is_above for row in main.feeders] == [True, True]
    (main,) = laid_out(drawn_lines(product, plan), OVERVIEW)
    assert [row.is_above for row in main.feeders] == [True, False]


@pytest.mark.parametrize("form", [WALL, OVERVIEW])
@given(
    joins=st.lists(st.integers(1, 12), max_size=7),
    sizes=st.lists(st.integers(1, 9), min_size=7, max_size=7),
)
def test_no_feeder_lies_on_another_and_no_arrow_crosses_one(form, joins, sizes):
    main_tasks, main_plan = line_of("main", 12)
    lines, tasks, plans = [MAIN], list(main_tasks), [main_plan]
    for at, (join, size) in enumerate(zip(joins, sizes, strict=False)):
        name = f"{at} feeder"
        made, plan = line_of(name, size)
        lines.append(Line(name=name, feeds="main", join=f"m{join}"))
        tasks += made
        plans.append(plan)
    product = Product(code="P", lines=tuple(lines), tasks=tuple(tasks))
    (main,) = laid_out(drawn_lines(product, ProductPlan(lines=tuple(plans))), form)
    bodies = {row.drawn.line.name: (row.x, row.y, row.x + row.width, row.bottom)
              for row in every_row([main])}  # fmt: skip
    for one, other in combinations(bodies.values(), 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    for row in main.feeders:
        x, end = row.join
        top, low = sorted((row.bottom if row.is_above else row.y, end))
        for name, (left, upper, right, lower) in bodies.items():
            if name not in ("main", row.drawn.line.name) and left < x < right:
                assert lower <= top or upper >= low


def test_a_drawn_line_without_stations_has_no_length():
    assert DrawnLine(line=MAIN, caption="").length_m is None
