"""Where a part, tool or equipment is used."""

from dataclasses import replace

from small_products import ANA, LAMP

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.showing.where_used import Use, used_names, where_used
from stationflow.model import Equipment, Line, StationSetting, TaskLimits
from stationflow.model.references import Thing

T = LAMP.tasks
PRESSED = replace(
    LAMP,
    equipment=(Equipment(name="Press"), Equipment(name="Oven")),
    lines=(Line(stations=(StationSetting(number=2, equipment=("Press",)),)),),
    tasks=(*T[:2], replace(T[2], limits=TaskLimits(equipment=("Press",))), *T[3:]),
)


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


def test_equipment_that_nothing_uses_can_be_asked_about(store):
    of = opened(store, PRESSED)
    assert used_names(of, Thing.EQUIPMENT) == ["Oven", "Press"]
    assert where_used(of, Thing.EQUIPMENT, "Oven") == ()
