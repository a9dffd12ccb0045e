"""Which files become a store, who may look into one, and what is said of others."""

import os
import random
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from small_products import ANA, ONE_TASK

from stationflow.errors import StoreError
from stationflow.storage import Store, open_store
from stationflow.storage.store_file import refused

ROOT = Path(__file__).parents[2]


def made_store(path: Path) -> Path:
    """Make a store with the lamp."""
    store = open_store(f"sqlite:///{path}")
    store.add_product(ONE_TASK, {}, **ANA)
    store.close()
    return path


def changed(path: Path, *statements: str) -> Path:
    """Run statements on a database file."""
    with closing(sqlite3.connect(path)) as file, file:
        for statement in statements:
            file.execute(statement)
    return path


def newer(folder: Path) -> Path:
    return changed(made_store(folder / "s.db"), "INSERT INTO migrations VALUES ('operators_named')")


def with_table(folder: Path) -> Path:
    return changed(made_store(folder / "s.db"), "CREATE TABLE orders (number TEXT)")


def foreign(folder: Path) -> Path:
    return changed(folder / "s.db", "CREATE TABLE orders (number TEXT)")


def other_migrations(folder: Path) -> Path:
    rows = "CREATE TABLE migrations (id INTEGER, migration TEXT, batch INTEGER)"
    return changed(folder / "s.db", rows, "CREATE TABLE products (id INTEGER)")


def in_use(folder: Path) -> Path:
    changed(folder / "s.db", "PRAGMA journal_mode = WAL")
    return foreign(folder)


def no_database(folder: Path) -> Path:
    (folder / "s.db").write_bytes(b"these are not the tables of a store" * 100)
    return folder / "s.db"


STRANGERS = {
    newer: r"was changed by a newer Stationflow \(operators_named\)",
    with_table: r"is no store of Stationflow: it holds other tables \(orders\)",
    foreign: r"is no store of Stationflow: it holds other tables \(orders\)",
    other_migrations: r"holds other tables \(migrations, products\)",
    in_use: r"holds other tables \(orders\)",
    no_database: r"is no database",
}


@pytest.mark.parametrize("make", STRANGERS, ids=lambda make: make.__name__)
def test_a_file_that_is_not_ours_is_refused_and_left_to_the_letter(make, tmp_path: Path):
    path = make(tmp_path)
    before = {file.name: (file.read_bytes(), file.stat().st_mode) for file in tmp_path.iterdir()}
    with pytest.raises(StoreError, match=STRANGERS[make]):
        open_store(f"sqlite:///{path}")
    after = {file.name: (file.read_bytes(), file.stat().st_mode) for file in tmp_path.iterdir()}
    assert after == before


def test_a_folder_in_place_of_the_file_is_refused(tmp_path: Path):
    with pytest.raises(StoreError, match="is no file"):
        open_store(f"sqlite:///{tmp_path}")


def test_an_empty_file_is_said_to_be_empty_and_becomes_a_store(tmp_path: Path):
    (tmp_path / "s.db").touch()
    store = open_store(f"sqlite:///{tmp_path}/s.db")
    assert store.notice.startswith(f"The file {tmp_path}/s.db was empty, without any product;")
    assert store.products() == []
    store.close()


def test_of_a_new_store_nothing_is_said(tmp_path: Path):
    store = open_store(f"sqlite:///{tmp_path}/s.db")
    assert store.notice == ""
    store.close()


def rights(folder: Path) -> dict[str, int]:
    return {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}


@pytest.fixture
def usual_mask() -> Iterator[None]:
    """Let new files be readable by everybody, as they usually are."""
    before = os.umask(0o022)
    yield
    os.umask(before)


def test_a_new_store_is_for_its_user_alone(tmp_path: Path, usual_mask: None):
    store = open_store(f"sqlite:///{tmp_path}/new/s.db")
    store.add_product(ONE_TASK, {}, **ANA)
    assert rights(tmp_path / "new") == {"s.db": 0o600, "s.db-wal": 0o600, "s.db-shm": 0o600}
    assert rights(tmp_path) == {"new": 0o700}
    store.close()


def test_a_store_of_an_earlier_day_is_closed_to_others(tmp_path: Path, usual_mask: None):
    made_store(tmp_path / "s.db").chmod(0o644)
    store = open_store(f"sqlite:///{tmp_path}/s.db")
    store.products()
    assert set(rights(tmp_path).values()) == {0o600}
    store.close()


LOOKER = """
import json, sys
from dataclasses import replace
from datetime import UTC, datetime
from stationflow.errors import StoreError
from stationflow.model import Author
from stationflow.storage import open_store

store = open_store(sys.argv[1])
draft = store.draft("L-1")
try:
    product = replace(draft.product, name="Other")
    store.save(product, base=draft.checksum, by=Author("eve", datetime.now(UTC)))
    said = "saved"
except StoreError as problem:
    said = problem.message
print(json.dumps([draft.product.name, store.is_read_only, said]))
"""
# Root reads and writes whatever the rights say, unless it has given that up.
WITHOUT_PRIVILEGE = ("setpriv", "--bounding-set=-all", "--inh-caps=-all")


@pytest.fixture
def locked() -> Iterator[Path]:
    """Return a folder that is closed to writing, as is the store in it, when the test asks."""
    with tempfile.TemporaryDirectory() as name:
        yield Path(name)
        Path(name).chmod(0o700)


def run_as_another(folder: Path, *command: str) -> str:
    """Run Python as somebody who may read a folder and all in it, but not write."""
    for path in folder.iterdir():
        path.chmod(0o444)
    folder.chmod(0o555)
    done = subprocess.run(
        [*(WITHOUT_PRIVILEGE if os.getuid() == 0 else ()), sys.executable, *command],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "STATIONFLOW_DATABASE": f"sqlite:///{folder}/s.db"},
    )
    return done.stdout + done.stderr


@pytest.mark.parametrize("kept", [(), ("s.db-wal",), ("s.db-wal", "s.db-shm")])
def test_a_store_that_may_only_be_read_is_read(kept: tuple[str, ...], locked: Path):
    store = open_store(f"sqlite:///{locked}/s.db")
    store.add_product(ONE_TASK, {}, **ANA)
    beside = {name: (locked / name).read_bytes() for name in kept}
    store.close()
    if len(kept) == 2:  # a program that was killed leaves both, and its saves are in the log
        for name, content in beside.items():
            (locked / name).write_bytes(content)
    elif kept:  # an emptied log alone
        (locked / "s.db-wal").touch()
    said = run_as_another(locked, "-c", LOOKER, f"sqlite:///{locked}/s.db")
    assert said.strip() == '["Lamp", true, "The store can only be read."]'


def test_check_works_on_a_store_that_may_only_be_read(locked: Path):
    made_store(locked / "s.db")
    assert "note" in run_as_another(locked, "-m", "stationflow", "check", "L-1").splitlines()[-1]


def test_an_older_store_that_may_only_be_read_is_refused_in_a_sentence(locked: Path):
    changed(made_store(locked / "s.db"), "DELETE FROM migrations WHERE name = 'one_plan_in_force'")
    said = run_as_another(locked, "-m", "stationflow", "check", "L-1")
    assert "must be brought up to date, and it can only be read. Nothing was changed." in said


def full(store: Store, path: Path) -> None:
    """Let the database have no page more than it has."""
    pages = changed_pages(path)
    with store._engine.connect() as connection:
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")


def changed_pages(path: Path) -> int:
    with closing(sqlite3.connect(path)) as file:
        count: int = file.execute("PRAGMA page_count").fetchone()[0]
    return count


def test_a_full_disk_is_said_when_it_is_full(tmp_path: Path):
    store = open_store(f"sqlite:///{tmp_path}/s.db")
    draft = store.add_product(ONE_TASK, {}, **ANA)
    full(store, tmp_path / "s.db")
    noise = random.Random(1).randbytes(60_000).hex()
    with pytest.raises(StoreError, match="could not be saved to: the disk is full"):
        store.save(replace(ONE_TASK, remarks=noise), base=draft.checksum, **ANA)
    assert store.draft("L-1").product == ONE_TASK
    store.close()


def test_a_store_that_another_program_holds_is_said_to_be_in_use(tmp_path: Path):
    path = made_store(tmp_path / "s.db")
    with closing(sqlite3.connect(path)) as other, closing(sqlite3.connect(path, timeout=0)) as own:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(sqlite3.OperationalError) as busy:
            own.execute("BEGIN IMMEDIATE")
    said = refused(busy.value).message
    assert said == "The store is in use: another program has been saving for over 10 s."


# Codes of SQLite, https://www.sqlite.org/rescode.html: the last byte says the kind.
@pytest.mark.parametrize("code", [1, 5, 6, 8, 10, 11, 14, 23, 26, 266, 778, 4874])
def test_of_no_other_refusal_the_disk_is_said_to_be_full(code: int):
    problem = sqlite3.OperationalError("refused")
    problem.sqlite_errorcode = code
    assert "full" not in str(refused(problem))


def test_a_store_cut_short_is_said_to_be_damaged(tmp_path: Path):
    path = made_store(tmp_path / "s.db")
    path.write_bytes(path.read_bytes()[: 4096 * 3])
    with pytest.raises(StoreError, match="is damaged"):
        open_store(f"sqlite:///{path}").products()
