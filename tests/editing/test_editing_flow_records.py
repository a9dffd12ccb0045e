"""Machines, joins, packing, faults and costs are merged, undone and told like everything else."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from product_strategies import products
from small_products import ANA, BOARD_LAMP, LAMP, put_in

from stationflow.actions.products.going_back import go_back
from stationflow.editing.renaming import with_line_names, with_list
from stationflow.editing.task_changes import delete_tasks
from stationflow.editing.task_merging import merge_tasks
from stationflow.editing.task_splitting import split_by_times
from stationflow.editing.two_editors import Conflict, merged, with_value
from stationflow.line.entered_checks import check_flow
from stationflow.model import (
    Conveyor,
    Costs,
    Fault,
    FaultCount,
    FurtherJoin,
    Machine,
    MachineKind,
    Packing,
    Product,
)
from stationflow.model.changes.change_words import change_words
from stationflow.model.changes.differences import differences
from stationflow.model.changes.record_identity import At
from stationflow.model.references import Thing
from stationflow.storage import open_store
from stationflow.units import TimeUnit

OVEN = Machine(name="Oven", kind=MachineKind.IN_LINE, task="30", length_m=3.5)
FLOWING = replace(
    BOARD_LAMP,
    machines=(OVEN,),
    joins=(FurtherJoin(line="board", feeds="main", join="40"),),
    packing=Packing(gross_kg=8.0),
    faults=(Fault(code="F1", gate="50", task="30", part="P-1"),),
    tally=(FaultCount(date="2026-03-02", fault="F1", count=4),),
    costs=Costs(operator_cost_h=38.0),
)
NEW = ("machines", "joins", "packing", "faults", "tally", "costs")


def with_oven(**fields: object) -> Product:
    return replace(FLOWING, machines=(replace(OVEN, **fields),))  # type: ignore[arg-type]


def test_two_cells_of_one_machine_are_both_taken():
    both = merged(FLOWING, with_oven(length_m=4.0), with_oven(count=2))
    assert both.product == with_oven(length_m=4.0, count=2)
    assert both.conflicts == ()


def test_one_cell_of_a_machine_changed_differently_is_a_conflict():
    both = merged(FLOWING, with_oven(length_m=4.0), with_oven(length_m=5.0))
    place = ("machines", At(("Oven",)), "length_m")
    assert both.conflicts == (Conflict(place, theirs=5.0, mine=4.0),)


def test_days_counted_by_two_people_are_both_kept():
    mine, theirs = (
        replace(FLOWING, tally=(*FLOWING.tally, FaultCount(date=f"2026-03-{day}", fault="F1")))
        for day in ("03", "04")
    )
    days = {count.date for count in merged(FLOWING, mine, theirs).product.tally}
    assert days == {"2026-03-02", "2026-03-03", "2026-03-04"}


def test_packing_and_costs_are_merged_field_by_field():
    mine = replace(FLOWING, packing=replace(FLOWING.packing, per_pallet=20))
    theirs = replace(FLOWING, packing=replace(FLOWING.packing, gross_kg=8.3))
    assert merged(FLOWING, mine, theirs).product.packing == Packing(gross_kg=8.3, per_pallet=20)


def test_a_new_number_of_a_task_is_followed_by_machines_joins_and_faults():
    mine = with_value(FLOWING, ("tasks", At(("30",)), "number"), "35")
    there = merged(FLOWING, mine, replace(FLOWING, name="Lamp 2")).product
    assert (there.machines[0].task, there.faults[0].task) == ("35", "35")


def test_a_new_name_of_a_line_is_followed_by_machines_and_further_joins():
    product = replace(FLOWING, machines=(replace(OVEN, line="board"),))
    lines = (product.lines[0], replace(product.lines[1], name="print"))
    after = with_list(product, Thing.LINE, lines, [0, 1])
    assert (after.machines[0].line, after.joins[0].line) == ("print", "print")


def test_two_lines_exchange_their_names_with_all_that_names_them():
    product = replace(FLOWING, machines=(replace(OVEN, line="board"),))
    after = with_line_names(product, {"main": "board", "board": "main"})
    assert [(line.name, line.feeds) for line in after.lines] == [("board", ""), ("main", "board")]
    assert [task.number for task in after.tasks_of("main")] == ["b1", "b2", "b3"]
    assert (after.machines[0].line, after.joins[0].line) == ("main", "main")


def test_of_a_split_task_the_machine_does_the_first_part_and_faults_are_found_at_the_last():
    gated = replace(FLOWING, faults=(replace(FLOWING.faults[0], gate="30"),))
    split = split_by_times(gated, 2, [20_000, 15_000]).product
    first, last = split.tasks[2].number, split.tasks[3].number
    assert split.machines[0].task == first
    assert (split.faults[0].gate, split.faults[0].task) == (last, first)


def test_merged_tasks_may_be_done_on_the_lines_on_which_all_of_them_may():
    first, second, *others = LAMP.tasks
    tasks = (
        replace(first, other_lines=("a", "b")),
        replace(second, other_lines=("b", "c")),
        *others,
    )
    merge = merge_tasks(replace(LAMP, tasks=tasks), [0, 1])
    assert merge.product.tasks[0].other_lines == ("b",)


def test_a_machine_of_a_task_taken_out_stays_to_be_named():
    after = delete_tasks(FLOWING, [2], heal=True).product
    named = [f.where for f in check_flow(after) if f.code == "unknown-task"]
    assert named == ["Machine Oven", "Fault F1"]


@pytest.mark.parametrize(
    ("places", "who"),
    [  # tasks 10 to 50 lie at places 0 to 4
        ([2], "Line board, machine Oven and fault F1 still name it"),
        ([3], "Further join of line board still names it"),
        ([4], "Fault F1 still names it"),
        ([3, 4], "Further join of line board and fault F1 still name one of them"),
    ],
)
def test_what_still_names_a_task_taken_out_is_told(places: list[int], who: str):
    words = delete_tasks(FLOWING, places, heal=True).words
    assert words.endswith(f". {who}: choose another task there.")


def test_many_places_that_still_name_a_task_taken_out_are_counted():
    # With line board and machine Oven, and 5 faults: 7.
    faults = tuple(Fault(code=f"F{n}", task="30") for n in range(5))
    words = delete_tasks(replace(FLOWING, faults=faults), [2], heal=True).words
    assert words.endswith(". 7 places still name it: choose another task there.")


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (with_oven(length_m=4.0), "Machine Oven, length: 3.5 → 4"),
        (with_oven(change_ms=90_000), "Machine Oven, time to change a magazine: 0 s → 90 s"),
        (replace(FLOWING, machines=()), "Machine Oven: taken out"),
        (
            replace(FLOWING, tally=(replace(FLOWING.tally[0], count=6),)),
            "Tally 2026-03-02, F1, how often: 4 → 6",
        ),
        (replace(FLOWING, packing=Packing(gross_kg=8.3)), "Gross mass: 8 → 8.3"),
        (
            replace(FLOWING, costs=Costs(operator_cost_h=39.5)),
            "Cost of an operator an hour: 38 → 39.5",
        ),
        (
            replace(FLOWING, joins=(replace(FLOWING.joins[0], quantity=2.0),)),
            "Further join board, main, 40, quantity: 1 → 2",
        ),
        (
            replace(FLOWING, faults=(replace(FLOWING.faults[0], part=""),)),
            "Fault F1, part to blame: P-1 → empty",
        ),
        (
            replace(
                FLOWING,
                lines=(replace(FLOWING.lines[0], conveyor=Conveyor.HAND), FLOWING.lines[1]),
            ),
            "Line main, conveyor: indexed → hand-pushed",
        ),
    ],
)
def test_a_change_is_told_in_the_words_of_the_tables(changed: Product, words: str):
    said = [change_words(change, TimeUnit.SECOND) for change in differences(FLOWING, changed)]
    assert said == [words]


def test_a_step_back_brings_a_machine_back_as_it_was(tmp_path):
    store = open_store(f"sqlite:///{tmp_path}/store.db")
    draft = put_in(store, FLOWING)
    store.save(with_oven(length_m=4.0), base=draft.checksum, **ANA)
    said = go_back(store, FLOWING.code, ["undo"], **ANA)
    assert said == ("Machine Oven, length: 3.5 again",)
    assert store.draft(FLOWING.code).product == FLOWING
    store.close()


@st.composite
def edited(draw: st.DrawFn) -> tuple[Product, Product]:
    """Draw a product, and the same with what another one has for the whole line."""
    one, other = draw(products({})), draw(products({}))
    names = draw(st.sets(st.sampled_from(NEW), min_size=1))
    return one, replace(one, **{name: getattr(other, name) for name in names})


@settings(max_examples=60)
@given(edited())
def test_all_differences_put_in_give_the_other_product(pair):
    one, other = pair
    assert merged(one, other, one).product == other
    assert merged(one, replace(one, name="Other name"), other).product == replace(
        other, name="Other name"
    )


@settings(max_examples=60)
@given(edited())
def test_nothing_that_differs_goes_without_words(pair):
    one, other = pair
    said = [change_words(change, TimeUnit.SECOND) for change in differences(one, other)]
    assert bool(said) == (one != other)
    assert all(said)


def test_the_lamp_has_none_of_it():
    assert [name for name in NEW if getattr(LAMP, name) not in ((), Packing(), Costs())] == []
