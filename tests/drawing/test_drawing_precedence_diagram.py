"""Precedence diagrams: structure of the source, and that it can be drawn. Cases made by hand."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from small_plans import station

from stationflow.drawing.diagram.diagram_grid import Room
from stationflow.drawing.diagram.diagram_work import DraftWork, draft_work, drawn_arrows
from stationflow.drawing.diagram.precedence_diagram import precedence_diagram
from stationflow.drawing.diagram.product_diagram import product_diagram
from stationflow.drawing.render import render_diagram
from stationflow.model import (
    FurtherJoin,
    Line,
    Model,
    ModelTime,
    Product,
    Task,
)
from stationflow.units import TimeUnit

# Two paths from 10 to 40, 10-30-40 the longer one; 10 to 40 directly follows from others.
DIAMOND = DraftWork(
    line="main",
    numbers=("10", "20", "30", "40"),
    times=(5000, 1000, 2000, 4000),
    predecessors=((), (0,), (0,), (0, 1, 2)),
)
NAMES = {"10": "Fit gear wheel", "20": "Screw heat sink", "30": "Route loom", "40": "Test"}
STATIONS = (
    station(1, ("10", "20"), 6.0),
    station(2, ("30", "40"), 6.0),
)
CIRCLE = DraftWork(
    line="main", numbers=("1", "2", "3"), times=(None, 0, 1), predecessors=((2,), (0,), (1,))
)


def arrows(source: str) -> dict[tuple[str, str], str]:
    found = re.findall(r"^\s*(\w+) -> (\w+)(.*)$", source, re.MULTILINE)
    return {(before, after): look for before, after, look in found}


def node(source: str, name: str) -> str:
    return next(line for line in source.splitlines() if line.strip().startswith(f"{name} ["))


def chain(tasks: int) -> DraftWork:
    return DraftWork(
        line="main",
        numbers=tuple(str(n) for n in range(tasks)),
        times=(1000,) * tasks,
        predecessors=((), *((n,) for n in range(tasks - 1))),
    )


def svg_texts(source: str) -> str:
    return "\n".join(ElementTree.fromstring(render_diagram(source, "svg")).itertext())


def test_redundant_arrows_are_left_out():
    assert ("n0", "n3") not in arrows(precedence_diagram(DIAMOND, NAMES))


def test_all_other_arrows_are_drawn():
    expected = {("n0", "n1"), ("n0", "n2"), ("n1", "n3"), ("n2", "n3")}
    assert set(arrows(precedence_diagram(DIAMOND, NAMES))) == expected


def test_the_legend_says_how_many_arrows_were_left_out():
    assert "Left out: 1 arrow" in precedence_diagram(DIAMOND, NAMES)


def test_the_longest_path_is_thick():
    thick = {a for a, look in arrows(precedence_diagram(DIAMOND, NAMES)).items() if "2.6" in look}
    assert thick == {("n0", "n2"), ("n2", "n3")}


def test_a_node_has_number_time_and_name():
    label = node(precedence_diagram(DIAMOND, NAMES), "n0")
    assert all(part in label for part in ("10", "5.0 s", "Fit gear wheel"))


def test_times_are_shown_in_the_unit_asked_for():
    assert "0.083 min" in precedence_diagram(DIAMOND, NAMES, unit=TimeUnit.MINUTE)


def test_times_of_published_instances_have_no_unit():
    work = DraftWork(line="x", numbers=("1",), times=(7,), predecessors=((),), ticks=1,
                     time_unit="unit")  # fmt: skip
    assert re.search(r'"1\s+\S+\s+7"', node(precedence_diagram(work, {}), "n0"))


def test_every_task_of_a_plan_names_its_station():
    assert "S2" in node(precedence_diagram(DIAMOND, NAMES, stations=STATIONS), "n2")


def test_tasks_of_one_station_have_one_colour_and_others_another():
    source = precedence_diagram(DIAMOND, NAMES, stations=STATIONS)
    fills = [re.search(r'fillcolor="(\S+)"', node(source, f"n{n}")).group(1) for n in range(4)]
    assert (fills[0] == fills[1], fills[2] == fills[3], fills[1] == fills[2]) == (True, True, False)


def test_the_arrows_of_a_circle_are_red_and_dashed():
    looks = arrows(precedence_diagram(CIRCLE, {})).values()
    assert [("#CC3311" in look and "dashed" in look) for look in looks] == [True] * 3


def test_a_task_that_waits_for_itself_is_a_circle():
    work = DraftWork(line="main", numbers=("1",), times=(1,), predecessors=((0,),))
    assert drawn_arrows(work).circle == ((0, 0),)


def test_two_circles_are_both_found():
    work = DraftWork(line="m", numbers=("1", "2", "3", "4"), times=(1,) * 4,
                     predecessors=((1,), (0,), (3,), (2,)))  # fmt: skip
    assert len(drawn_arrows(work).circle) == 4


def test_tasks_of_one_number_keep_their_own_names():
    work = DraftWork(line="main", numbers=("1", "1"), times=(1, 1), predecessors=((), ()))
    source = precedence_diagram(work, ["Press", "Screw"])
    assert ("Press" in node(source, "n0"), "Screw" in node(source, "n1")) == (True, True)


def test_an_untimed_task_says_so():
    assert "no time" in node(precedence_diagram(CIRCLE, {}), "n0")


def test_the_diagram_of_no_tasks_says_so():
    empty = DraftWork(line="main", numbers=(), times=(), predecessors=())
    assert "There are no tasks yet." in svg_texts(precedence_diagram(empty, {}))


def aspect(source: str) -> float:
    svg = ElementTree.fromstring(render_diagram(source, "svg"))
    width, height = (float(svg.get(side).removesuffix("pt")) for side in ("width", "height"))
    return width / height


def place(source: str, name: str) -> tuple[float, float]:
    found = re.search(r'pos="([\d.-]+),([\d.-]+)"', node(source, name))
    return float(found.group(1)), float(found.group(2))


def test_a_short_line_runs_from_left_to_right():
    source = precedence_diagram(DIAMOND, NAMES)
    across = [place(source, f"n{n}")[0] for n in range(4)]
    assert across[0] < across[1] == across[2] < across[3]


def test_the_second_band_of_a_long_line_is_below_the_first():
    source = precedence_diagram(chain(40), {})
    assert place(source, "n39")[1] < place(source, "n0")[1]


@pytest.mark.parametrize("tasks", [40, 52, 100, 300, 1000])
def test_a_long_chain_is_folded_into_the_shape_of_a_page(tasks: int):
    assert 1.2 <= aspect(precedence_diagram(chain(tasks), {})) <= 2.2


def test_many_parallel_tasks_have_the_shape_of_a_page():
    work = DraftWork(line="m", numbers=tuple(map(str, range(120))), times=(1,) * 120,
                     predecessors=((), *((0,),) * 118, tuple(range(1, 119))))  # fmt: skip
    assert 1 <= aspect(precedence_diagram(work, {})) <= 2.4


def titles(source: str) -> list[str]:
    svg = ElementTree.fromstring(render_diagram(source, "svg"))
    return [e.text or "" for e in svg.iter("{http://www.w3.org/2000/svg}title")]


def test_pointing_at_a_node_shows_number_name_time_and_station():
    source = precedence_diagram(DIAMOND, {**NAMES, "30": 'Route <loom> & "tie"'},
                                stations=STATIONS)  # fmt: skip
    assert '30 Route <loom> & "tie", 2.0 s, station 2' in titles(source)


def test_pointing_at_an_arrow_shows_its_tasks():
    assert "10 before 30" in titles(precedence_diagram(DIAMOND, NAMES))


def test_the_id_of_a_node_holds_the_number_of_its_task():
    assert 'id="n2_30"' in render_diagram(precedence_diagram(DIAMOND, NAMES), "svg").decode()


def test_a_node_among_very_many_has_number_and_time_alone():
    source = precedence_diagram(chain(200), {"7": "Fit gear wheel"})
    assert re.search(r'label="7\\n1.0 s"', node(source, "n7"))


def test_a_folded_chain_keeps_every_arrow():
    assert len(arrows(precedence_diagram(chain(100), {}))) == 99


def test_a_long_name_is_cut_to_the_node():
    source = precedence_diagram(DIAMOND, {"10": "screw " * 50})
    assert "\N{HORIZONTAL ELLIPSIS}" in node(source, "n0")


HOSTILE = [
    "<b>bold</b>", 'quote " and \\', "ends with \\", "a\x00b\x1bc", "tab\tand\nline",
    "&amp; <", "\\N \\G", "\ud800", "}", "\u202e",
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text_can_be_drawn(text: str):
    work = DraftWork(line="m", numbers=(text,), times=(1,), predecessors=((),))
    assert "0.0 s" in svg_texts(precedence_diagram(work, {text: text}, title=text))


def test_a_name_like_a_tag_is_shown_word_for_word():
    work = DraftWork(line="m", numbers=("<i>",), times=(1000,), predecessors=((),))
    assert "<b>x</b>" in svg_texts(precedence_diagram(work, {"<i>": "<b>x</b>"}))


@pytest.mark.parametrize("tasks", [12, 100, 300])
def test_every_task_is_drawn(tasks: int):
    svg = render_diagram(precedence_diagram(chain(tasks), {}), "svg").decode()
    assert svg.count('class="node"') == tasks


BOARD = Line(name="board", title="Board", feeds="main", join="20", quantity=2)
PRODUCT = Product(
    code="P",
    lines=(Line(), BOARD),
    tasks=(
        Task(number="10", time_ms=5000),
        Task(number="20", predecessors=("10", "99")),
        Task(number="B1", line="board"),
        Task(number="B2", line="board", predecessors=("B1",)),
    ),
)


def test_an_arrow_from_an_unknown_task_is_left_out_of_a_draft():
    assert draft_work(PRODUCT, "main").predecessors == ((), (0,))


def test_a_draft_with_a_mix_shows_the_mean_time_of_the_models():
    times = (ModelTime(model="A", time_ms=10_000), ModelTime(model="B", time_ms=20_000))
    models = (Model(name="A", share=0.5), Model(name="B", share=0.5))
    product = Product(code="P", models=models, tasks=(Task(number="1", model_times=times),))
    assert draft_work(product, "main").times == (15_000,)


def test_a_feeder_leads_from_its_frame_to_its_join():
    look = arrows(product_diagram(PRODUCT))["l1n1", "l0n1"]
    assert "ltail=cluster_1" in look


def test_the_arrow_of_a_feeder_names_the_quantity():
    assert "2 per unit" in arrows(product_diagram(PRODUCT))["l1n1", "l0n1"]


def test_a_feeder_leads_to_its_further_joins_too():
    joins = (FurtherJoin(line="board", feeds="main", join="10", quantity=3),)
    assert "3 per unit" in arrows(product_diagram(replace(PRODUCT, joins=joins)))["l1n1", "l0n0"]


def test_a_bought_in_feeder_says_so():
    board = replace(PRODUCT.lines[1], bought_in=True)
    product = replace(PRODUCT, lines=(PRODUCT.lines[0], board), tasks=PRODUCT.tasks_of("main"))
    assert "bought in" in svg_texts(product_diagram(product))


def test_a_feeder_without_a_join_is_marked():
    product = Product(code="P", lines=(Line(), Line(name="b", feeds="main")), tasks=PRODUCT.tasks)
    assert "no join" in product_diagram(product)


def test_every_line_is_a_frame_with_its_title():
    assert "Board (feeder of main)" in svg_texts(product_diagram(PRODUCT))


@pytest.mark.parametrize(
    "lines",
    [(), (Line(feeds="main"),), (Line(), Line(name="a", feeds="b"), Line(name="b", feeds="a"))],
)
def test_a_product_with_broken_lines_is_drawn(lines: tuple[Line, ...]):
    product = Product(code="P", lines=lines, tasks=PRODUCT.tasks)
    assert render_diagram(product_diagram(product), "svg")


def ladder(tasks: int) -> DraftWork:
    """Return a line of steps of two tasks side by side, each pair after the one before."""
    before = [(), *((max(n - 2, 0),) for n in range(1, tasks))]
    return DraftWork(
        line="main",
        numbers=tuple(str(n) for n in range(tasks)),
        times=(1000,) * tasks,
        predecessors=tuple(before),
    )


def drawn_width(source: str) -> float:
    """Return from the leftmost to the rightmost node, in points."""
    centres = [float(x) for x in re.findall(r'pos="([\d.]+),[\d.]+"', source)]
    width = float(re.findall(r" width=([\d.]+)", source)[0]) * 72
    return max(centres) - min(centres) + width


NAMED = [f"Fit the heater base number {n}" for n in range(60)]


@pytest.mark.parametrize("tasks", [13, 36, 60])
@pytest.mark.parametrize("width", [498, 800])
def test_a_diagram_for_a_screen_is_no_wider_than_its_room(tasks, width):
    source = precedence_diagram(ladder(tasks), NAMED[:tasks], room=Room(width, 460))
    assert drawn_width(source) <= width


@pytest.mark.parametrize("tasks", [13, 36, 60, 100])
def test_names_of_six_words_stand_whole_in_a_diagram_for_a_screen(tasks):
    names = [f"Fit the heater base number {n}" for n in range(tasks)]
    source = precedence_diagram(ladder(tasks), names, room=Room(498, 520))
    assert "\N{HORIZONTAL ELLIPSIS}" not in source


def test_a_name_that_is_cut_is_whole_on_pointing():
    name = " ".join(["Fit the heater base"] * 9)
    source = precedence_diagram(ladder(2), [name, ""], room=Room(498, 520))
    shown, pointed = node(source, "n0").split("tooltip=")
    assert ("\N{HORIZONTAL ELLIPSIS}" in shown, name in pointed) == (True, True)


def test_few_tasks_keep_the_names_that_a_page_has():
    drawn = [precedence_diagram(ladder(6), NAMED[:6], room=r) for r in (None, Room(800, 460))]
    on_page, on_screen = (node(source, "n3").partition("label=")[2] for source in drawn)
    assert on_screen.partition(" pos=")[0] == on_page.partition(" pos=")[0]


def test_many_tasks_are_folded_in_the_shape_of_the_screen():
    # By hand: 300 tasks in a square room are less than twice as wide as tall.
    source = precedence_diagram(ladder(300), [""] * 300, room=Room(500, 500))
    heights = [float(y) for y in re.findall(r'pos="[\d.]+,([\d.]+)"', source)]
    assert drawn_width(source) < 2 * (max(heights) - min(heights))
