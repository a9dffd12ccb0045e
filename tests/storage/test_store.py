"""The store loses nothing, overwrites nothing, and says kindly what it refuses."""

import inspect
import sqlite3
from dataclasses import replace
from datetime import timedelta
from threading import Thread

import pytest
from small_plans import answer, station
from small_products import ANA, MORNING, ONE_TASK

from stationflow.errors import (
    DraftChangedError,
    PlanNotFoundError,
    ProductExistsError,
    ProductNotFoundError,
    RightMissingError,
    StoreError,
)
from stationflow.files.pictures import picture_checksum
from stationflow.model import (
    Author,
    CurveSettings,
    CycleCurve,
    Ending,
    HandAct,
    HandStep,
    HandWork,
    Picture,
    Plan,
    Product,
    Right,
    StoredCurve,
)
from stationflow.storage import Store, open_store


@pytest.fixture
def store(tmp_path):
    opened = open_store(f"sqlite:///{tmp_path}/new/folder/store.db")
    yield opened
    opened.close()


@pytest.fixture
def lamp(store: Store):
    return store.add_product(ONE_TASK, {}, **ANA)


def renamed(draft, name: str) -> Product:
    return replace(draft.product, name=name)


def ana(minutes: float) -> Author:
    return Author("ana", MORNING + timedelta(minutes=minutes))


def ben(minutes: float) -> Author:
    return Author("ben", MORNING + timedelta(minutes=minutes))


def a_plan(draft, stations=(("10",),)) -> Plan:
    return Plan(
        product=draft.product.code,
        result=answer(
            *(station(i, tasks, 12.5) for i, tasks in enumerate(stations, start=1)),
            method="largest-candidate",
            limit=60.0,
            ending=Ending.OPTIMAL,
            lower_bound=1.0,
        ),
        product_version=draft.version,
        product_checksum=draft.checksum,
        by="ana",
        at=MORNING,
    )


def test_a_product_comes_back_as_it_was_put_in(store, lamp):
    assert store.draft("L-1").product == ONE_TASK


def test_a_product_code_can_be_used_once(store, lamp):
    with pytest.raises(ProductExistsError, match="L-1"):
        store.add_product(ONE_TASK, {}, **ANA)


def test_an_unknown_product_is_named(store):
    with pytest.raises(ProductNotFoundError, match="X-9"):
        store.draft("X-9")


def test_saves_of_one_author_within_a_minute_share_a_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ana(0.5))
    assert second.version == 1


def test_a_save_after_a_minute_is_a_new_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ana(1))
    assert second.version == 2


@pytest.mark.parametrize("minutes", [-0.1, -600])
def test_a_clock_that_went_back_joins_no_versions(store, lamp, minutes):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ana(minutes))
    third = store.save(renamed(lamp, "Wall lamp"), base=second.checksum, by=ana(minutes + 0.5))
    assert (second.version, third.version) == (2, 2)


def test_a_clock_that_went_back_within_the_minute_joins_no_versions(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ana(0.9))
    third = store.save(renamed(lamp, "Wall lamp"), base=second.checksum, by=ana(0.5))
    assert third.version == 2


def test_a_save_of_another_author_is_a_new_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ben(0.1))
    assert second.version == 2


def test_a_save_without_a_change_adds_no_version(store, lamp):
    assert store.save(lamp.product, base=lamp.checksum, by=ben(9)).version == 1


def test_a_stale_save_is_refused_and_changes_nothing(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ben(2))
    with pytest.raises(DraftChangedError, match=r"version 2 by ben"):
        store.save(renamed(lamp, "Wall lamp"), base=lamp.checksum, by=ana(3))
    assert store.draft("L-1").product.name == "Desk lamp"


def test_every_earlier_save_can_be_read_by_its_checksum(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ana(0.5))
    assert store.saved_product("L-1", lamp.checksum) == ONE_TASK


def test_undo_and_redo_walk_through_the_edits(store, lamp):
    names = ["Lamp"]
    draft = lamp
    for name in ("A", "B", "C"):
        draft = store.save(renamed(draft, name), base=draft.checksum, by=ana(0.1))
        names.append(name)
    back = [store.undo("L-1", by=ana(1)).product.name for _ in range(3)]
    assert back == names[-2::-1]
    forth = [store.redo("L-1", by=ana(2)).product.name for _ in range(3)]
    assert forth == names[1:]


def test_undo_at_the_first_state_changes_nothing(store, lamp):
    assert store.undo("L-1", **ANA).checksum == lamp.checksum
    assert store.draft("L-1").undo_to == ""


def test_an_edit_after_undo_leaves_nothing_to_redo(store, lamp):
    draft = store.save(renamed(lamp, "A"), base=lamp.checksum, by=ana(0.1))
    draft = store.undo("L-1", by=ana(0.2))
    assert draft.redo_to
    draft = store.save(renamed(draft, "B"), base=draft.checksum, by=ana(0.3))
    assert not draft.redo_to
    assert store.undo("L-1", by=ana(0.4)).product.name == "Lamp"


def test_pictures_are_kept_once_and_found_by_name(store):
    checksum = picture_checksum(b"bytes")
    product = replace(ONE_TASK, pictures=(Picture(name="base.png", checksum=checksum),))
    store.add_product(product, {checksum: b"bytes"}, **ANA)
    store.add_product(replace(product, code="L-2"), {checksum: b"bytes"}, **ANA)
    assert store.pictures(product) == {"base.png": b"bytes"}


def test_an_archived_product_is_out_of_the_list_but_not_lost(store, lamp):
    store.set_archived("L-1", True, **ANA)
    assert store.products() == []
    assert [row.code for row in store.products(archived=True)] == ["L-1"]
    assert store.draft("L-1").product == ONE_TASK


def test_the_list_shows_the_newest_state(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by=ben(5))
    (row,) = store.products()
    assert (row.name, row.version, row.by, row.tasks, row.has_plan) == (
        "Desk lamp",
        2,
        "ben",
        1,
        False,
    )


def test_a_plan_comes_back_as_it_was_stored(store, lamp):
    stored = store.add_plan(a_plan(lamp), **ANA)
    assert store.plans("L-1", "main") == [stored]


def test_one_plan_of_a_line_is_in_force(store, lamp):
    first, second = store.add_plan(a_plan(lamp), **ANA), store.add_plan(a_plan(lamp), **ANA)
    store.put_in_force("L-1", first.plan_id, **ANA)
    store.put_in_force("L-1", second.plan_id, **ANA)
    assert [p.plan_id for p in store.plans("L-1") if p.in_force] == [second.plan_id]
    assert store.plan_in_force("L-1", "main").plan_id == second.plan_id
    assert store.products()[0].has_plan


def test_an_unknown_plan_cannot_be_put_in_force(store, lamp):
    with pytest.raises(PlanNotFoundError):
        store.put_in_force("L-1", 99, **ANA)


def test_what_one_store_saved_another_reads(tmp_path):
    address = f"sqlite:///{tmp_path}/shared.db"
    app, command = open_store(address), open_store(address)
    draft = app.add_product(ONE_TASK, {}, **ANA)
    command.save(renamed(draft, "Desk lamp"), base=draft.checksum, by=ben(1))
    assert app.draft("L-1").product.name == "Desk lamp"


@pytest.mark.parametrize("address", ["not an address", "postgresql://plant/db"])
def test_an_address_that_is_no_store_is_refused_in_a_sentence(address):
    with pytest.raises(StoreError, match="STATIONFLOW_DATABASE"):
        open_store(address)


def test_a_file_that_is_no_store_is_refused_in_a_sentence(tmp_path):
    (tmp_path / "notes.db").write_bytes(b"these are not the tables of a store" * 100)
    with pytest.raises(StoreError, match=r"notes\.db is no database\."):
        open_store(f"sqlite:///{tmp_path}/notes.db")


def test_an_edit_after_undo_is_undone_step_by_step(store, lamp):
    draft = store.save(renamed(lamp, "A"), base=lamp.checksum, by=ana(0.1))
    draft = store.save(renamed(draft, "B"), base=draft.checksum, by=ana(0.2))
    draft = store.undo("L-1", by=ana(0.3))
    store.save(renamed(draft, "C"), base=draft.checksum, by=ana(0.4))
    names = [store.undo("L-1", by=ana(0.5)).product.name for _ in range(3)]
    assert names == ["A", "Lamp", "Lamp"]


def test_undo_brings_the_earlier_text_back_to_the_letter(store, lamp):
    draft = store.save(renamed(lamp, "A"), base=lamp.checksum, by=ana(0.1))
    assert draft.undo_to == store.undo("L-1", by=ana(0.2)).checksum == lamp.checksum


class WhileSaving(dict):
    """Pictures of a save which, when they are looked at, let somebody else save at once."""

    def __init__(self, other: Thread) -> None:
        super().__init__({"c" * 64: b"bytes"})
        self.other = other

    def items(self):
        self.other.start()
        self.other.join(0.5)  # it waits for this save to end, however long that takes
        return super().items()


def test_of_two_who_save_at_once_one_is_told(tmp_path):
    address = f"sqlite:///{tmp_path}/shared.db"
    first, second = open_store(address), open_store(address)
    lamp = first.add_product(ONE_TASK, {}, **ANA)
    told = []

    def save_as_ben() -> None:
        try:
            told.append(second.save(renamed(lamp, "B"), base=lamp.checksum, by=ben(2)))
        except StoreError as problem:
            told.append(problem)

    other = Thread(target=save_as_ben)
    draft = first.save(
        renamed(lamp, "A"), base=lamp.checksum, by=ana(1), contents=WhileSaving(other)
    )
    other.join(30)
    assert (draft.product.name, [type(each) for each in told]) == ("A", [DraftChangedError])
    assert first.draft("L-1").product.name == "A"


PINNED = (HandStep(act=HandAct.PIN, task="10"),)


def pinned(done: HandWork) -> HandWork:
    return replace(done, steps=PINNED, done=1)


WRITES = {
    "add_product": lambda store, by: store.add_product(replace(ONE_TASK, code="L-2"), {}, by=by),
    "save": lambda store, by: store.save(ONE_TASK, base="", by=by),
    "undo": lambda store, by: store.undo("L-1", by=by),
    "redo": lambda store, by: store.redo("L-1", by=by),
    "save_with_plans": lambda store, by: store.save_with_plans(ONE_TASK, (), base="", by=by),
    "set_archived": lambda store, by: store.set_archived("L-1", True, by=by),
    "add_plan": lambda store, by: store.add_plan(a_plan(store.draft("L-1")), by=by),
    "put_in_force": lambda store, by: store.put_in_force("L-1", 1, by=by),
    "note_plan": lambda store, by: store.note_plan("L-1", 1, by=by, remark="x"),
    "change_hand_work": lambda store, by: store.change_hand_work("L-1", 1, pinned, by=by),
    "keep_curve": lambda store, by: store.keep_curve(CURVE, by=by),
    "remember_columns": lambda store, by: store.remember_columns("s", "{}", "a.csv", by=by),
    "forget_columns": lambda store, by: store.forget_columns("s", by=by),
}
CURVE = StoredCurve(
    product="L-1",
    settings=CurveSettings(),
    curve=CycleCurve(line="main", points=(), tasks=1, work_content=12.5, longest=12.5),
)


@pytest.mark.parametrize("write", WRITES)
def test_who_may_only_look_writes_nothing(store, lamp, write):
    viewer = Author("eve", MORNING, Right.VIEW)
    with pytest.raises(RightMissingError, match=r"^eve may look at products and plans, but not"):
        WRITES[write](store, viewer)


def test_what_is_written_within_one_transaction_is_read_there_and_taken_back_with_it(store, lamp):
    def write() -> None:
        with store.writing(ANA["by"]):
            store.add_product(replace(ONE_TASK, code="L-2"), {}, **ANA)
            assert store.draft("L-2").product.code == "L-2"
            store.add_product(ONE_TASK, {}, **ANA)

    with pytest.raises(ProductExistsError):
        write()
    assert [row.code for row in store.products()] == ["L-1"]
    assert store.save(renamed(lamp, "A"), base=lamp.checksum, **ANA).product.name == "A"


def test_another_reader_sees_nothing_of_a_transaction_until_it_is_done(store, lamp):
    seen = []
    with store.writing(ANA["by"]):
        store.set_archived("L-1", True, **ANA)
        reader = Thread(target=lambda: seen.append(len(store.products())))
        reader.start()
        reader.join()
    assert (seen, store.products()) == ([1], [])


def test_what_writes_takes_an_author():
    writers = {
        name
        for name, method in inspect.getmembers(Store, inspect.isfunction)
        if "by" in inspect.signature(method).parameters
    }
    assert writers - {"writing"} == set(WRITES)


def test_steps_by_hand_stay_with_their_plan(store, lamp):
    plan_id = store.add_plan(a_plan(lamp), **ANA).plan_id
    store.change_hand_work("L-1", plan_id, pinned, **ANA)
    kept = store.hand_work("L-1", plan_id)
    assert (kept.steps, kept.done, kept.by) == (PINNED, 1, "ana")


def test_a_plan_without_steps_by_hand_has_none(store, lamp):
    plan_id = store.add_plan(a_plan(lamp), **ANA).plan_id
    assert store.hand_work("L-1", plan_id).steps == ()


def test_the_first_plan_of_a_line_is_in_force_if_asked(store, lamp):
    first, second = (store.add_plan(a_plan(lamp), if_first=True, **ANA) for _ in range(2))
    assert (first.in_force, second.in_force) == (True, False)


def test_notes_of_a_plan_stay_until_others_are_given(store, lamp):
    plan_id = store.add_plan(replace(a_plan(lamp), name="First"), **ANA).plan_id
    store.note_plan("L-1", plan_id, remark="For the new jig", **ANA)
    store.note_plan("L-1", plan_id, name="Summer", **ANA)
    noted = store.note_plan("L-1", plan_id, archived=True, **ANA)
    assert (noted.name, noted.remark, noted.archived) == ("Summer", "For the new jig", True)


def test_the_database_refuses_a_second_plan_in_force(tmp_path):
    address = f"sqlite:///{tmp_path}/store.db"
    store = open_store(address)
    lamp = store.add_product(ONE_TASK, {}, **ANA)
    for _ in range(2):
        store.add_plan(a_plan(lamp), **ANA)
    with sqlite3.connect(tmp_path / "store.db") as file, pytest.raises(sqlite3.IntegrityError):
        file.execute("UPDATE plans SET in_force = 1")
