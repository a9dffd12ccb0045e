"""A program that is killed in the middle of its saves loses none that it told as done."""

import random
import signal
import sqlite3
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stationflow.model import Author, Product, Task
from stationflow.storage import open_store

pytestmark = pytest.mark.campaign

SAVES = 100
SEED = 20_261_125
SAVER = """
import sys
from dataclasses import replace
from datetime import UTC, datetime
from stationflow.model import Author
from stationflow.storage import open_store

store = open_store(sys.argv[1])
draft = store.draft("L-1")
turn = int(sys.argv[2])
while True:
    turn += 1
    tasks = tuple(replace(task, time_ms=100 * turn) for task in draft.product.tasks)
    product = replace(draft.product, name=f"Lamp {turn}", tasks=tasks)
    draft = store.save(product, base=draft.checksum, by=Author("ana", datetime.now(UTC)))
    print(turn, draft.checksum, flush=True)
"""


@dataclass(frozen=True, slots=True)
class Told:
    """What a killed program had told."""

    checksums: dict[int, str]
    kills: int


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of a store with a product of 60 tasks."""
    path = tmp_path_factory.mktemp("kills") / "store.db"
    store = open_store(f"sqlite:///{path}")
    tasks = tuple(Task(number=str(n), name=f"Fit part {n}", time_ms=1000) for n in range(60))
    store.add_product(Product(code="L-1", tasks=tasks), {}, by=Author("ana", datetime.now(UTC)))
    store.close()
    return f"sqlite:///{path}"


@pytest.fixture(scope="module")
def told(address: str) -> Told:
    """Kill a saving program at random moments until it has told of `SAVES` saves."""
    draw = random.Random(SEED)
    checksums: dict[int, str] = {}
    kills = 0
    while len(checksums) < SAVES:
        turn = max(checksums, default=0) + 1000 * kills  # what was not told may be there too
        saver = subprocess.Popen(
            [sys.executable, "-c", SAVER, address, str(turn)], stdout=subprocess.PIPE, text=True
        )
        assert saver.stdout is not None
        said = [saver.stdout.readline()]  # the first save: the program is under way
        time.sleep(draw.uniform(0, 0.15))
        saver.send_signal(signal.SIGKILL)
        said += saver.stdout.read().splitlines()
        saver.wait()
        kills += 1
        for line in said:
            number, _, checksum = line.strip().partition(" ")
            if len(checksum) == 64:  # the last line may be torn
                checksums[int(number)] = checksum
    return Told(checksums, kills)


def test_the_program_was_killed_many_times(told: Told):
    assert told.kills >= 5


def test_every_save_that_was_told_is_there(told: Told, address: str):
    store = open_store(address)
    names = {turn: store.saved_product("L-1", said).name for turn, said in told.checksums.items()}
    store.close()
    assert names == {turn: f"Lamp {turn}" for turn in told.checksums}


def test_the_newest_state_is_the_last_told_or_one_after_it(told: Told, address: str):
    store = open_store(address)
    newest = store.draft("L-1").product
    store.close()
    last = max(told.checksums)
    assert newest.name in {f"Lamp {last}", f"Lamp {last + 1}"}


def test_the_file_is_whole(told: Told, address: str):
    with sqlite3.connect(Path(address.removeprefix("sqlite:///"))) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
