"""What commands say of the store they open."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.opening import starting
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import BalanceSettings
from stationflow.storage import open_store


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the file of the store that commands open, without demo products."""
    (tmp_path / "demo").mkdir()
    monkeypatch.setattr(starting, "DEMO_PRODUCTS", tmp_path / "demo")
    return tmp_path / "store.db"


def test_an_empty_file_is_said_to_be_empty_beside_the_document(run, own: Path):
    own.touch()
    ran = run("check", "L-100", "--json")
    assert ran.err.splitlines()[0] == (
        f"The file {own} was empty, without any product; a new store is made in it."
    )
    assert "no product of this code is in the store" in ran.err


def test_a_damaged_plan_is_a_finding_and_the_product_is_checked(run, own: Path):
    store = open_store(f"sqlite:///{own}")
    settings = BalanceSettings(method="ranked-positional-weight", limit=60)
    balance_and_keep(store, put_in(store, LAMP), "main", settings, **ANA)
    store.close()
    with closing(sqlite3.connect(own)) as file, file:
        file.execute("UPDATE plans SET document = substr(document, 1, 40)")
    ran = run("check", "L-100", "--json")
    found = {f["code"]: f["where"] for f in ran.document["findings"]}
    assert found["stored-unreadable"] == "Plan 1 of line main of product L-100"
    assert ran.code == 0


def test_a_file_of_another_program_is_refused_in_a_sentence(run, own: Path):
    with closing(sqlite3.connect(own)) as file, file:
        file.execute("CREATE TABLE orders (number TEXT)")
    ran = run("check", "L-100")
    assert (ran.code, ran.out) == (1, "")
    assert "is no store of Stationflow: it holds other tables (orders)." in ran.err
