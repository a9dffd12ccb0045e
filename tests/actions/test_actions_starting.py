"""The first start."""

from pathlib import Path

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, TOO_LONG, put_in, write_folder

from stationflow.actions.opening import starting

ROOT = Path(__file__).parents[2]


@pytest.fixture
def demo_folder(tmp_path, monkeypatch):
    """Let two small products be the demo products."""
    folder = tmp_path / "demo"
    for product in (LAMP, BOARD_LAMP):
        write_folder(folder, product)
    (folder / "notes").mkdir()
    (folder / "readme.txt").write_text("no product", "utf-8")
    monkeypatch.setattr(starting, "DEMO_PRODUCTS", folder)
    return folder


def codes_in(store) -> list[str]:
    return [row.code for row in store.products()]


def test_the_first_start_copies_in_the_demo_products(store, demo_folder):
    starting.start(store, **ANA)
    assert codes_in(store) == ["L-100", "L-200"]


def test_the_second_start_copies_nothing(store, demo_folder):
    starting.start(store, **ANA)
    write_folder(demo_folder, TOO_LONG)
    starting.start(store, **ANA)
    assert codes_in(store) == ["L-100", "L-200"]


def test_a_start_leaves_a_store_with_own_products_alone(store, demo_folder):
    put_in(store, TOO_LONG)
    starting.start(store, **ANA)
    assert codes_in(store) == ["L-500"]


def test_an_archived_demo_product_does_not_come_back_by_itself(store, demo_folder):
    starting.start(store, **ANA)
    for code in ("L-100", "L-200"):
        store.set_archived(code, True, **ANA)
    starting.start(store, **ANA)
    assert codes_in(store) == []


def test_demo_products_can_be_brought_back_by_hand(store, demo_folder):
    put_in(store, LAMP)
    assert starting.restore_demo_products(store, **ANA) == ["L-200"]


def test_the_real_demo_products_come_in(store):
    starting.start(store, **ANA)
    assert codes_in(store) == ["AP-200", "CC-900", "F-100", "M-310"]


def test_a_store_is_opened_once(tmp_path):
    address = f"sqlite:///{tmp_path}/once.db"
    assert starting.open_store_at(address) is starting.open_store_at(address)
