"""What the pages say of a store that is empty, damaged, somebody else's, or may only be read."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.opening import starting
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import BalanceSettings
from stationflow.storage import Store, saves


def change(path: Path, statement: str) -> None:
    """Change the file behind the store's back, and forget what was read of it."""
    saves._PRODUCTS.clear()
    with closing(sqlite3.connect(path)) as file, file:
        file.execute(statement)


@pytest.fixture
def other(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the path of another file, which the app opens as its store."""
    monkeypatch.setenv("STATIONFLOW_DATABASE", f"sqlite:///{tmp_path}/other.db")
    return tmp_path / "other.db"


def test_an_empty_file_is_said_to_be_empty_once(other: Path, show: Any):
    other.touch()
    app = show(None, "products")
    assert f"The file {other} was empty, without any product" in app.said
    app.run()
    assert "was empty" not in app.said


@pytest.mark.parametrize("page", ["products", "tasks"])
def test_a_file_of_another_program_is_refused_in_a_sentence(page: str, other: Path, show: Any):
    change(other, "CREATE TABLE orders (number TEXT)")
    app = show(None, page)
    assert "is no store of Stationflow: it holds other tables (orders)" in app.errors


def test_a_store_that_may_only_be_read_says_so(
    other: Path, show: Any, monkeypatch: pytest.MonkeyPatch
):
    address = f"sqlite:///{other}"
    starting.open_store(address).close()
    monkeypatch.setattr("stationflow.storage.store_file.os.access", lambda *_: False)
    assert "The store can only be read: nothing that is changed" in show(None, "products").said


def test_a_damaged_product_is_named_and_others_can_be_opened(
    show: Any, store: Store, tmp_path: Path
):
    put_in(store, replace(LAMP, code="L-2"))
    put_in(store, replace(LAMP, remarks="damaged"))
    change(tmp_path / "app.db", "UPDATE saves SET document = x'00' WHERE code = 'L-100'")
    app = show(LAMP, "products")
    assert "Product L-100 cannot be read from the store: it is damaged" in app.said
    assert app.test.dataframe[0].value["Product code"].tolist() == ["L-100", "L-2"]


def test_a_damaged_time_does_not_close_the_list(show: Any, store: Store, tmp_path: Path):
    put_in(store, replace(LAMP, code="L-2"))
    put_in(store, LAMP)
    change(tmp_path / "app.db", "UPDATE saves SET at = '2026-0' WHERE code = 'L-100'")
    times = show(None, "products").test.dataframe[0].value["Last saved (UTC)"].tolist()
    assert (times[0], len(times)) == ("not readable", 2)


@pytest.mark.parametrize("page", ["products", "tasks", "balance", "cards"])
def test_a_damaged_plan_is_named_on_every_page(page: str, show: Any, store: Store, tmp_path: Path):
    draft = put_in(store, LAMP)
    settings = BalanceSettings(method="ranked-positional-weight", limit=60)
    balance_and_keep(store, draft, "main", settings, **ANA)
    change(tmp_path / "app.db", "UPDATE plans SET document = substr(document, 1, 40)")
    app = show(LAMP, page)
    assert "Plan 1 of line main of product L-100 cannot be read from the store" in app.said
    assert not app.errors
