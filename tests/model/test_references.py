"""What may name what: expected values are read off the small products by hand."""

from dataclasses import fields, is_dataclass, replace
from itertools import chain
from typing import Any, get_args, get_type_hints

import pytest
from small_products import BOARD_LAMP, LAMP

from stationflow.model import (
    CODES,
    Equipment,
    FaultCount,
    Line,
    ModelTime,
    PartUse,
    Picture,
    Product,
    StationSetting,
    Step,
    Task,
    TaskLimits,
    TimeLag,
    ToolUse,
)
from stationflow.model.references import (
    LISTS,
    REFERENCES,
    Thing,
    WhenGone,
    mentions,
    renamed,
    unknown_names,
    without,
)


def with_task(**changed: Any) -> Product:
    return replace(LAMP, tasks=(replace(LAMP.tasks[0], **changed), *LAMP.tasks[1:]))


def with_station(**said: Any) -> Product:
    line = replace(LAMP.lines[0], stations=(StationSetting(number=2, **said),))
    return replace(LAMP, lines=(line,))


def found(product: Product) -> list[tuple[str, str]]:
    return [(f.code, f.where) for _, f in unknown_names(product, LISTS)]


def limited(**limits: Any) -> Product:
    return with_task(limits=TaskLimits(**limits))


UNKNOWN = {
    "unknown-line": (with_task(line="board"), "Task 10"),
    "unknown-predecessor": (with_task(predecessors=("99",)), "Task 10"),
    "unknown-model": (with_task(model_times=(ModelTime(model="X", time_ms=1000),)), "Task 10"),
    "unknown-apart": (limited(apart=("20", "99")), "Task 10"),
    "unknown-independent-of": (limited(independent_of=("99",)), "Task 10"),
    "unknown-part": (with_task(parts=(PartUse(part="K9"),)), "Task 10"),
    "picture-missing": (with_task(steps=(Step(text="a", picture="x.png"),)), "Task 10, step 1"),
    "unknown-lag": (
        replace(LAMP, lags=(TimeLag(before="10", after="99"),)),
        "Time between tasks 10 and 99",
    ),
}


@pytest.mark.parametrize("code", UNKNOWN)
def test_each_unknown_name_gives_its_own_finding(code: str):
    product, where = UNKNOWN[code]
    assert [each for each in found(product) if each[0] == code] == [(code, where)]


def test_every_code_of_the_table_is_listed():
    assert {r.unknown.code for r in REFERENCES if r.unknown} <= CODES.keys()


def test_equipment_is_unknown_once_some_is_listed():
    product = replace(limited(equipment=("Pres",)), equipment=(Equipment(name="Press"),))
    assert found(product) == [("unknown-equipment", "Task 10")]


def test_equipment_is_not_unknown_where_none_is_listed():
    assert found(limited(equipment=("Press",))) == []


def test_unknown_equipment_of_a_station_is_named_with_its_line():
    product = replace(with_station(equipment=("Pres",)), equipment=(Equipment(name="Press"),))
    assert found(product) == [("unknown-equipment", "Line main, station 2")]


def test_unknown_equipment_that_a_station_may_not_get_is_not_said_to_be_there():
    product = replace(
        with_station(equipment_possible=("Oven",), equipment_barred=("Pres",)),
        equipment=(Equipment(name="Press"),),
    )
    said = [f.message.split(",")[0] for _, f in unknown_names(product, LISTS)]
    assert said == ["It may get 'Oven'", "It may not get 'Pres'"]


def test_a_zone_is_unknown_once_a_station_lies_in_another():
    product = replace(limited(zone="wett"), lines=with_station(zone="wet").lines)
    assert found(product) == [("unknown-zone", "Task 10")]


def test_a_zone_is_not_unknown_where_no_station_states_one():
    assert found(limited(zone="wet")) == []


def test_a_task_without_a_line_is_named():
    assert found(with_task(line="")) == [("unknown-line", "Task 10")]


def test_an_unknown_number_named_twice_by_one_task_is_told_once():
    assert len(found(limited(apart=("99", "99")))) == 1


def test_the_small_products_name_nothing_unknown():
    assert found(LAMP) + found(BOARD_LAMP) == []


def test_where_a_tool_is_used_is_found():
    product = with_task(tools=(ToolUse(tool="Gauge G1"),))
    assert [m.words for m in mentions(product, Thing.TOOL, "Gauge G1")] == ["task 10"]


def test_where_equipment_is_used_is_found_at_tasks_and_stations():
    product = replace(
        limited(equipment=("Press",)), lines=with_station(equipment=("Press", "Oven")).lines
    )
    used = [m.words for m in mentions(product, Thing.EQUIPMENT, "Press")]
    assert used == ["task 10", "station 2 of line main"]


def test_a_new_name_of_equipment_is_carried_into_limits_and_stations():
    product = replace(
        limited(equipment=("Oven", "Press")), lines=with_station(equipment=("Press",)).lines
    )
    changed = renamed(product, Thing.EQUIPMENT, lambda _: {"Press": ("Press P2",)})
    assert changed.tasks[0].limits.equipment == ("Oven", "Press P2")
    assert changed.lines[0].stations[0].equipment == ("Press P2",)


def test_two_names_that_become_one_stand_once():
    changed = renamed(limited(apart=("20", "30")), Thing.TASK, lambda _: {"30": ("20",)})
    assert changed.tasks[0].limits.apart == ("20",)


def test_nothing_is_made_anew_where_nothing_changes():
    assert renamed(BOARD_LAMP, Thing.TASK, lambda _: {"99": ("98",)}) is BOARD_LAMP


def test_a_task_taken_out_leaves_no_arrow_limit_or_time_between():
    product = replace(
        limited(apart=("30",), independent_of=("30",)), lags=(TimeLag(before="10", after="30"),)
    )
    left = without(product, Thing.TASK, ["30"])
    named = [m.name for m in mentions(left, Thing.TASK)]
    assert "30" not in named
    assert left.lags == ()


def test_only_tasks_and_pictures_are_taken_out_with_what_names_them():
    # A row of any other list is edited away, and findings name what still names it.
    goes = {r.thing for r in REFERENCES if r.when_gone != WhenGone.STAYS}
    assert goes == {Thing.TASK, Thing.PICTURE}


def test_a_join_of_a_task_taken_out_stays_to_be_named():
    join = BOARD_LAMP.line("board").join
    assert without(BOARD_LAMP, Thing.TASK, [join]).line("board").join == join


def _fields(record: type, path: str = "") -> list[tuple[str, str]]:
    """Return the paths of all fields of text, or lists of texts, below a data class."""
    paths = []
    for each in fields(record):
        kind = get_type_hints(record)[each.name]
        inner = next((a for a in (kind, *get_args(kind)) if is_dataclass(a)), None)
        if inner is not None:
            paths += _fields(inner, f"{path}{each.name}.")  # type: ignore[arg-type]
        elif kind in (str, tuple[str, ...]):
            paths.append((f"{path}{each.name}", each.name))
    return paths


NAMES = {
    "predecessors", "apart", "independent_of", "before", "after", "join", "feeds", "line", "part",
    "tool", "equipment", "equipment_possible", "equipment_barred", "zone", "skill", "skills",
    "model", "picture", "container", "other_lines", "task", "gate", "fault",
}  # fmt: skip
"""Fields that by their word name something else; whoever adds one adds its reference."""


def test_every_field_that_names_something_stands_in_the_table():
    listed = {reference.path for reference in REFERENCES}
    assert {path for path, name in _fields(Product) if name in NAMES} == listed


def test_every_path_of_the_table_leads_to_a_field():
    paths = dict(_fields(Product))
    assert [r.path for r in REFERENCES if r.path not in paths] == []


def test_every_list_of_names_is_covered():
    kinds = chain.from_iterable(
        [
            (f"{r.__name__}.{f.name}")
            for f in fields(r)
            if get_type_hints(r)[f.name] == tuple[str, ...]
        ]
        for r in (Task, TaskLimits, Line, StationSetting, Product, Picture)
    )
    ends = {r.path.rpartition(".")[2] for r in REFERENCES}
    assert [kind for kind in kinds if kind.partition(".")[2] not in ends] == []


def test_a_count_without_its_fault_is_said_so():
    product = replace(LAMP, tally=(FaultCount(date="", fault="", count=3),))
    ((_, finding),) = unknown_names(product, LISTS)
    assert (finding.where, finding.message) == ("Tally of no day", "It names no fault.")
