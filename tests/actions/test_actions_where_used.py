"""Where a part, tool or equipment is used."""

from dataclasses import replace

from small_products import ANA, LAMP

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.showing.where_used import Use, used_names, where_used
from stationflow.model import Equipment, Fault, Line, StationSetting, TaskLimits
from stationflow.model.references import Thing

T = LAMP.tasks
PRESSED = replace(
    LAMP,
    equipment=(Equipment(name="Press"), Equipment(name="Oven")),
    lines=(Line(stations=(StationSetting(number=2, equipment=("Press",)),)),),
    tasks=(*T[:2], replace(T[2], limits=TaskLimits(equipment=("Press",))), *T[3:]),
)
BARRED = StationSetting(number=3, equipment_possible=("Oven",), equipment_barred=("Press",))
BLAMED = Fault(code="F1", gate="50", part="P-1")


def opened(store, product=LAMP):
    return opened_draft(store, store.add_product(product, {}, **ANA))


def test_the_task_that_fits_a_part_is_named(store):
    uses = where_used(opened(store), Thing.PART, "P-1")
    assert uses == (Use("main", "10", "Place base", ""),)


def test_the_task_that_needs_a_tool_is_named(store):
    uses = where_used(opened(store), Thing.TOOL, "Screwdriver")
    assert [use.task for use in uses] == ["20"]


def test_tasks_that_need_equipment_and_stations_that_have_it_are_named(store):
    uses = where_used(opened(store, PRESSED), Thing.EQUIPMENT, "Press")
    assert [(use.task, use.station) for use in uses] == [("30", ""), ("", "2")]


def test_stations_that_may_get_equipment_or_may_not_are_told_from_those_that_have_it(store):
    lines = (Line(stations=(*PRESSED.lines[0].stations, BARRED)),)
    of = opened(store, replace(PRESSED, lines=lines))
    said = {u.station: u.name for u in where_used(of, Thing.EQUIPMENT, "Press") if not u.task}
    assert said == {"2": "equipment", "3": "equipment it may not get"}
    assert where_used(of, Thing.EQUIPMENT, "Oven") == (
        Use("main", "", "equipment it may get", "3"),
    )


def test_a_fault_that_blames_a_part_is_named(store):
    uses = where_used(opened(store, replace(LAMP, faults=(BLAMED,))), Thing.PART, "P-1")
    assert [(use.task, use.name) for use in uses] == [
        ("10", "Place base"),
        ("", "fault F1: part to blame"),
    ]


def test_equipment_that_nothing_uses_can_be_asked_about(store):
    of = opened(store, PRESSED)
    assert used_names(of, Thing.EQUIPMENT) == ["Oven", "Press"]
    assert where_used(of, Thing.EQUIPMENT, "Oven") == ()
