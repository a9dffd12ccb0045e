"""Damage to one row of the store is a sentence that names the product, and all the rest opens."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from zlib import compress

import pytest
from small_plans import answer, station
from small_products import ANA, MORNING, ONE_TASK

from stationflow.errors import UnreadableError
from stationflow.model import (
    Author,
    Confirmation,
    CurveSettings,
    CycleCurve,
    HandAct,
    HandStep,
    HandWork,
    Plan,
    StoredCurve,
)
from stationflow.storage import Store, open_store


@pytest.fixture
def store(tmp_path: Path):
    """Return a store with a lamp that has two plans, the second in force, and a curve; and a fan.

    No document of it was read before, so that none is kept in memory.
    """
    path = tmp_path / "s.db"
    first = open_store(f"sqlite:///{path}")
    for product in (ONE_TASK, replace(ONE_TASK, code="F-1")):
        first.add_product(replace(product, remarks=str(tmp_path)), {}, **ANA)
    result = answer(station(1, ["10"], 12.5), method="exact", limit=60.0)
    for in_force in (False, True):
        plan = Plan(product="L-1", result=result, in_force=in_force, remark=str(tmp_path))
        confirmed = Confirmation(engine="CP-SAT", agrees=True, said="Yes.", runtime_s=1.0)
        first.add_plan(replace(plan, confirmation=confirmed), **ANA)
    curve = CycleCurve(line="main", points=(), tasks=1, work_content=12.5, longest=12.5)
    first.keep_curve(StoredCurve(product="L-1", settings=CurveSettings(), curve=curve), **ANA)
    first.close()
    opened = open_store(f"sqlite:///{path}")
    yield opened
    opened.close()


def damage(tmp_path: Path, statement: str, *values: object) -> None:
    """Change the store file behind its back, and forget what was read of it."""
    from stationflow.storage import saves

    saves._PRODUCTS.clear()
    with closing(sqlite3.connect(tmp_path / "s.db")) as file, file:
        file.execute(statement, values)


OF_LAMP = "WHERE code = 'L-1'"
SAVES = {
    "a document cut short": ("document = substr(document, 1, 40)", ()),
    "a document of other bytes": ("document = x'00112233'", ()),
    "a document that is text": ("document = 'lamp'", ()),
    "no JSON": ("document = ?", (compress(b'{"code": "L-1", "na'),)),
    "JSON that is a list": ("document = ?", (compress(b"[1]"),)),
    "JSON of something else": ("document = ?", (compress(b'{"colour": 1}'),)),
    "a time cut short": ("at = substr(at, 1, 9)", ()),
    "a time cut to its day": ("at = substr(at, 1, 10)", ()),
    "a time of another kind": ("at = x'00'", ()),
}


@pytest.mark.parametrize("kind", SAVES)
def test_a_damaged_product_is_named_and_the_rest_opens(kind: str, store: Store, tmp_path: Path):
    change, values = SAVES[kind]
    damage(tmp_path, f"UPDATE saves SET {change} {OF_LAMP}", *values)
    assert [row.code for row in store.products()] == ["F-1", "L-1"]
    assert store.draft("F-1").product.name == "Lamp"
    with pytest.raises(UnreadableError, match=r"^Product L-1 cannot be read from the store: "):
        store.draft("L-1")


PLANS = {
    "a document cut short": "UPDATE plans SET document = substr(document, 1, 40)",
    "a time in the document cut short": "UPDATE plans SET document = "
    "replace(document, '2026-03-02T08', '2026-03')",
    "a document of other bytes": "UPDATE plans SET document = x'ff00'",
    "a second opinion cut short": "UPDATE plan_notes SET confirmation = substr(confirmation, 1, 9)",
}


@pytest.mark.parametrize("kind", PLANS)
def test_a_damaged_plan_is_named_and_the_rest_opens(kind: str, store: Store, tmp_path: Path):
    damage(tmp_path, f"{PLANS[kind]} WHERE plan_id = 2")
    assert store.draft("L-1").product.name == "Lamp"
    assert [plan.plan_id for plan in store.plans("L-1")] == [1]
    assert store.plan_in_force("L-1", "main") is None
    (said,) = store.damage("L-1")
    assert said.message.startswith(
        "Plan 2 of line main of product L-1 cannot be read from the store: "
    )
    assert store.put_in_force("L-1", 1, **ANA).in_force


@pytest.mark.parametrize("document", ["x'0011'", "substr(document, 1, 20)", "7"])
def test_a_damaged_curve_is_named_and_the_rest_opens(document: str, store: Store, tmp_path: Path):
    damage(tmp_path, f"UPDATE curves SET document = {document}")
    assert store.last_curve("L-1", "main") is None
    (said,) = store.damage("L-1")
    assert said.message.startswith("The curve of line main of product L-1 cannot be read from the ")
    assert [plan.plan_id for plan in store.plans("L-1")] == [2, 1]


def test_a_balance_leaves_a_damaged_plan_in_force(store: Store, tmp_path: Path):
    damage(tmp_path, "UPDATE plans SET document = x'ff00' WHERE plan_id = 2")
    result = answer(station(1, ["10"], 12.5), method="comsoal", limit=60.0)
    assert not store.add_plan(Plan(product="L-1", result=result), if_first=True, **ANA).in_force
    with closing(sqlite3.connect(tmp_path / "s.db")) as file:
        assert file.execute("SELECT plan_id FROM plans WHERE in_force").fetchall() == [(2,)]


def with_pin(done: HandWork) -> HandWork:
    return replace(done, steps=(HandStep(act=HandAct.PIN, task="10"),), done=1)


@pytest.mark.parametrize(
    "document", ["json_set(document, '$.colour', 1)", "substr(document, 1, 20)", "x'ff00'"]
)
def test_steps_by_hand_that_cannot_be_read_are_named_and_stay(
    document: str, store: Store, tmp_path: Path
):
    store.change_hand_work("L-1", 1, with_pin, **ANA)
    damage(tmp_path, f"UPDATE hand_work SET document = {document}")
    said = "What was done by hand to plan 1 of line main of product L-1 cannot be read from the "
    assert [problem.message[: len(said)] for problem in store.damage("L-1")] == [said]
    for ask in (
        lambda: store.hand_work("L-1", 1),
        lambda: store.change_hand_work("L-1", 1, with_pin, **ANA),
    ):
        with pytest.raises(UnreadableError, match=f"^{said}"):
            ask()
    assert store.damage("F-1") == ()


def test_of_a_whole_product_no_damage_is_told(store: Store):
    assert store.damage("L-1") == ()


def test_columns_whose_time_is_damaged_are_as_good_as_forgotten(store: Store, tmp_path: Path):
    store.remember_columns("s", "{}", "a.csv", **ANA)
    damage(tmp_path, "UPDATE column_mappings SET at = '2026'")
    assert store.remembered_columns("s") is None


def test_a_save_after_a_damaged_time_is_a_new_version(store: Store, tmp_path: Path):
    draft = store.draft("L-1")
    damage(tmp_path, f"UPDATE saves SET at = '2026-03-0' {OF_LAMP}")
    by = Author("ana", MORNING + timedelta(seconds=1))
    saved = store.save(replace(draft.product, name="Desk lamp"), base=draft.checksum, by=by)
    assert (saved.version, saved.product.name) == (2, "Desk lamp")
