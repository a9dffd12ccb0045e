"""Broken files never end in a trace: what cannot be read is a finding or a `SourceError`."""

import io
import random
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from product_strategies import drawn_picture

from stationflow.errors import SourceError
from stationflow.files.pictures import picture_checksum
from stationflow.files.product.product_folder import read_product_folder, write_product_folder
from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Break,
    Calendar,
    Picture,
    Plan,
    Product,
    QualityKind,
    QualityStep,
    Shift,
    Step,
    Task,
)

PICTURE = drawn_picture("PNG")
PRODUCT = Product(
    code="P-1",
    calendar=Calendar(
        shifts=(
            Shift(name="e", start="06:00", end="14:00", breaks=(Break(name="tea", minutes=15),)),
        )
    ),
    tasks=tuple(
        Task(
            number=f"{n}0",
            name="Press, turn",
            time_ms=1000 * n + 500,
            predecessors=("10",) if n > 1 else (),
            steps=(Step(text="=x", picture="a.png"),),
            quality=QualityStep(kind=QualityKind.SOAK, process_ms=60_000),
        )
        for n in range(1, 6)
    ),
    pictures=(Picture(name="a.png", checksum=picture_checksum(PICTURE)),),
)
PLAN = Plan(
    product="P-1",
    result=BalanceResult(line="main", asked=BalanceSettings()),
)
PIECES = (
    b"",
    b"\0",
    b"\xff",
    b'"',
    b"'",
    b";",
    b"\n",
    b",",
    b"nan",
    b"-1",
    b"1e999",
    b"9" * 50,
    b"[",
    b"]",
    b"=",
    b"../",
    b"\xef\xbb\xbf",
    b"<",
    b"&",
    b"%",
    b"true",
    b"25:61",
    b"#DIV/0!",
    b"{",
    b"[[lines]]\n",
)


def mutated(data: bytes, chance: random.Random) -> bytes:
    """Return the data with some bytes cut out, doubled or replaced."""
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(data) + 1)
        end = min(len(data), at + chance.choice((0, 1, 1, 3, 20)))
        piece = chance.choice((*PIECES, data[at:end] * 2))
        data = data[:at] + piece + data[end:]
    return data


def try_folders(tmp_path: Path, rounds: int, seed: int) -> None:
    """Break one or two files of a good folder, many times, and read it."""
    chance = random.Random(seed)
    write_product_folder(tmp_path, PRODUCT, {"a.png": PICTURE}, [PLAN])
    files = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    good = {path: path.read_bytes() for path in files}
    for _ in range(rounds):
        broken = chance.sample(files, chance.choice((1, 2)))
        for path in broken:
            path.write_bytes(mutated(good[path], chance))
        with suppress(SourceError):
            read_product_folder(tmp_path)
        for path in broken:
            path.write_bytes(good[path])


def try_workbooks(rounds: int, seed: int) -> None:
    """Break one part of a good workbook, or the packed file, many times, and read it."""
    chance = random.Random(seed)
    data = write_workbook(PRODUCT, {"a.png": PICTURE}, [PLAN])[0]
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    for number in range(rounds):
        if number % 5 == 0:
            broken = mutated(data, chance)
        else:
            out = io.BytesIO()
            name = chance.choice(sorted(parts))
            with zipfile.ZipFile(out, "w") as packed:
                for part, content in parts.items():
                    packed.writestr(part, mutated(content, chance) if part == name else content)
            broken = out.getvalue()
        with suppress(SourceError):
            read_workbook(broken)


def test_two_hundred_broken_folders_open_or_are_refused(tmp_path: Path):
    try_folders(tmp_path, rounds=200, seed=1)


def test_two_hundred_broken_workbooks_open_or_are_refused():
    try_workbooks(rounds=200, seed=2)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(10))
def test_thousands_of_broken_files_open_or_are_refused(tmp_path: Path, seed: int):
    try_folders(tmp_path, rounds=1_000, seed=seed)
    try_workbooks(rounds=200, seed=seed)
