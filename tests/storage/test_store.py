"""The store loses nothing, overwrites nothing, and says kindly what it refuses."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from small_plans import answer, station

from stationflow.errors import (
    DraftChangedError,
    PlanNotFoundError,
    ProductExistsError,
    ProductNotFoundError,
    StoreError,
)
from stationflow.model import (
    Ending,
    Picture,
    Plan,
    Product,
    Task,
)
from stationflow.storage import Store, open_store

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
ANA = {"by": "ana", "at": MORNING}
LAMP = Product(code="L-1", name="Lamp", tasks=(Task(number="10", name="Fit base", time_ms=12_500),))


@pytest.fixture
def store(tmp_path):
    opened = open_store(f"sqlite:///{tmp_path}/new/folder/store.db")
    yield opened
    opened.close()


@pytest.fixture
def lamp(store: Store):
    return store.add_product(LAMP, {}, **ANA)


def renamed(draft, name: str) -> Product:
    return replace(draft.product, name=name)


def later(minutes: float) -> datetime:
    return MORNING + timedelta(minutes=minutes)


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
    assert store.draft("L-1").product == LAMP


def test_a_product_code_can_be_used_once(store, lamp):
    with pytest.raises(ProductExistsError, match="L-1"):
        store.add_product(LAMP, {}, **ANA)


def test_an_unknown_product_is_named(store):
    with pytest.raises(ProductNotFoundError, match="X-9"):
        store.draft("X-9")


def test_saves_of_one_author_within_a_minute_share_a_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ana", at=later(0.5))
    assert second.version == 1


def test_a_save_after_a_minute_is_a_new_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ana", at=later(1))
    assert second.version == 2


def test_a_save_of_another_author_is_a_new_version(store, lamp):
    second = store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ben", at=later(0.1))
    assert second.version == 2


def test_a_save_without_a_change_adds_no_version(store, lamp):
    assert store.save(lamp.product, base=lamp.checksum, by="ben", at=later(9)).version == 1


def test_a_stale_save_is_refused_and_changes_nothing(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ben", at=later(2))
    with pytest.raises(DraftChangedError, match=r"version 2 by ben"):
        store.save(renamed(lamp, "Wall lamp"), base=lamp.checksum, by="ana", at=later(3))
    assert store.draft("L-1").product.name == "Desk lamp"


def test_every_earlier_save_can_be_read_by_its_checksum(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ana", at=later(0.5))
    assert store.saved_product("L-1", lamp.checksum) == LAMP


def test_undo_and_redo_walk_through_the_edits(store, lamp):
    names = ["Lamp"]
    draft = lamp
    for name in ("A", "B", "C"):
        draft = store.save(renamed(draft, name), base=draft.checksum, by="ana", at=later(0.1))
        names.append(name)
    back = [store.undo("L-1", by="ana", at=later(1)).product.name for _ in range(3)]
    assert back == names[-2::-1]
    forth = [store.redo("L-1", by="ana", at=later(2)).product.name for _ in range(3)]
    assert forth == names[1:]


def test_undo_at_the_first_state_changes_nothing(store, lamp):
    assert store.undo("L-1", **ANA).checksum == lamp.checksum
    assert not store.draft("L-1").undo_to


def test_an_edit_after_undo_leaves_nothing_to_redo(store, lamp):
    draft = store.save(renamed(lamp, "A"), base=lamp.checksum, by="ana", at=later(0.1))
    draft = store.undo("L-1", by="ana", at=later(0.2))
    assert draft.redo_to
    draft = store.save(renamed(draft, "B"), base=draft.checksum, by="ana", at=later(0.3))
    assert not draft.redo_to
    assert store.undo("L-1", by="ana", at=later(0.4)).product.name == "Lamp"


def test_pictures_are_kept_once_and_found_by_name(store):
    product = replace(LAMP, pictures=(Picture(name="base.png", checksum="c" * 64),))
    store.add_product(product, {"c" * 64: b"bytes"}, **ANA)
    store.add_product(replace(product, code="L-2"), {"c" * 64: b"bytes"}, **ANA)
    assert store.pictures(product) == {"base.png": b"bytes"}


def test_an_archived_product_is_out_of_the_list_but_not_lost(store, lamp):
    store.set_archived("L-1", True)
    assert store.products() == []
    assert [row.code for row in store.products(archived=True)] == ["L-1"]
    assert store.draft("L-1").product == LAMP


def test_the_list_shows_the_newest_state(store, lamp):
    store.save(renamed(lamp, "Desk lamp"), base=lamp.checksum, by="ben", at=later(5))
    (row,) = store.products()
    assert (row.name, row.version, row.by, row.tasks, row.has_plan) == (
        "Desk lamp",
        2,
        "ben",
        1,
        False,
    )


def test_a_plan_comes_back_as_it_was_stored(store, lamp):
    stored = store.add_plan(a_plan(lamp))
    assert store.plans("L-1", "main") == [stored]


def test_one_plan_of_a_line_is_in_force(store, lamp):
    first, second = store.add_plan(a_plan(lamp)), store.add_plan(a_plan(lamp))
    store.put_in_force("L-1", first.plan_id)
    store.put_in_force("L-1", second.plan_id)
    assert [p.plan_id for p in store.plans("L-1") if p.in_force] == [second.plan_id]
    assert store.plan_in_force("L-1", "main").plan_id == second.plan_id
    assert store.products()[0].has_plan


def test_an_unknown_plan_cannot_be_put_in_force(store, lamp):
    with pytest.raises(PlanNotFoundError):
        store.put_in_force("L-1", 99)


def test_what_one_store_saved_another_reads(tmp_path):
    address = f"sqlite:///{tmp_path}/shared.db"
    app, command = open_store(address), open_store(address)
    draft = app.add_product(LAMP, {}, **ANA)
    command.save(renamed(draft, "Desk lamp"), base=draft.checksum, by="ben", at=later(1))
    assert app.draft("L-1").product.name == "Desk lamp"


@pytest.mark.parametrize("address", ["not an address", "postgresql://plant/db"])
def test_an_address_that_is_no_store_is_refused_in_a_sentence(address):
    with pytest.raises(StoreError, match="STATIONFLOW_DATABASE"):
        open_store(address)


def test_a_file_that_is_no_store_is_refused_in_a_sentence(tmp_path):
    (tmp_path / "notes.db").write_bytes(b"these are not the tables of a store" * 100)
    with pytest.raises(StoreError, match="did not answer"):
        open_store(f"sqlite:///{tmp_path}/notes.db")
