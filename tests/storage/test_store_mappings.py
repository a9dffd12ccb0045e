"""How columns of a stranger's table were read is remembered, by the headings."""

from dataclasses import replace
from datetime import timedelta

import pytest
from small_products import ANA, MORNING
from sqlalchemy import create_engine, text

from stationflow.model import Author
from stationflow.storage import RememberedColumns, Store, open_store

COLUMNS = RememberedColumns(document='{"a": 1}', file_name="tasks.xlsx", by="ana", at=MORNING)


def remember(store: Store, columns: RememberedColumns = COLUMNS) -> None:
    by = Author(columns.by, columns.at)
    store.remember_columns("s1", columns.document, columns.file_name, by=by)


@pytest.fixture
def store(tmp_path):
    opened = open_store(f"sqlite:///{tmp_path}/store.db")
    yield opened
    opened.close()


def test_a_mapping_comes_back_as_it_was_remembered(store: Store):
    remember(store)
    assert store.remembered_columns("s1") == COLUMNS


def test_nothing_is_remembered_of_other_headings(store: Store):
    remember(store)
    assert store.remembered_columns("s2") is None


def test_the_newest_mapping_of_the_same_headings_counts(store: Store):
    newer = replace(COLUMNS, document='{"a": 2}', at=MORNING + timedelta(days=1))
    remember(store)
    remember(store, newer)
    assert store.remembered_columns("s1") == newer


def test_a_mapping_can_be_forgotten(store: Store):
    remember(store)
    store.forget_columns("s1", **ANA)
    assert store.remembered_columns("s1") is None


def test_a_mapping_is_remembered_when_the_store_is_opened_again(tmp_path):
    address = f"sqlite:///{tmp_path}/store.db"
    first = open_store(address)
    remember(first)
    first.close()
    second = open_store(address)
    assert second.remembered_columns("s1") == COLUMNS
    second.close()


def test_a_store_of_the_first_release_gets_the_table(tmp_path):
    address = f"sqlite:///{tmp_path}/store.db"
    open_store(address).close()
    engine = create_engine(address)
    with engine.begin() as connection:  # as the first release left it
        connection.execute(text("DROP TABLE column_mappings"))
        connection.execute(text("DELETE FROM migrations WHERE name = 'remembered_columns'"))
    engine.dispose()
    store = open_store(address)
    remember(store)
    assert store.remembered_columns("s1") == COLUMNS
    store.close()


def test_a_store_of_an_earlier_release_gets_the_table_of_curves(tmp_path):
    address = f"sqlite:///{tmp_path}/store.db"
    open_store(address).close()
    engine = create_engine(address)
    with engine.begin() as connection:  # as the release before left it
        connection.execute(text("DROP TABLE curves"))
        connection.execute(text("DELETE FROM migrations WHERE name = 'curves_of_lines'"))
    engine.dispose()
    store = open_store(address)
    assert store.last_curve("L-1", "main") is None
    store.close()
