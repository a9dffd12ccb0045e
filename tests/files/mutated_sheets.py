"""Sheets of strangers, broken in every way: made, read and reported in a process of its own.

Run by the campaign: python mutated_sheets.py COUNT STORE_ADDRESS
"""

import collections
import csv
import io
import json
import random
import resource
import sys
import time
import traceback
import zipfile
import zlib
from collections.abc import Callable
from datetime import UTC, datetime

import openpyxl
from dirty_sheets import dirty_workbook

from stationflow.actions.importing.bringing_in import columns_of, preview
from stationflow.errors import StationflowError
from stationflow.files.foreign.columns.headings import likeliest_sheet
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Author, Product, Task
from stationflow.storage import open_store

SEED = 20_261_125
PRODUCT = Product(
    code="M-1",
    tasks=tuple(Task(number=str(10 * n), name=f"Fit part {n}", time_ms=5000) for n in range(1, 9)),
)
HOSTILE = (
    "=1+1", "=cmd|' /C calc'!A0", "+SUM(A1:A9)", "-2+3", "@SUM(1)", "\t=1", "#DIV/0!", "#REF!",
    "1-2", "10;20;10", "10-10000000", "1e309", "-1e309", "NaN", "inf", "0x10",
    "12345678901234567890",
    "\u202e10", "\u200b", "\ufffe", "\x00", "\x1b[2J", "<b>", "![x](http://a)", "' OR 1=1 --",
    "..\\..\\etc", "10" * 20_000, "," * 500, "\u0661\u0662", "\uff11\uff12", "1'2''3", "::",
    "1:99:99",
    "-5", "0", "", " ", "\u00a0", "\u2013", "Total", "Summe", "10;;20", "A\nB", "\U0001f600",
)  # fmt: skip
ENCODINGS = (
    "utf-8",
    "utf-8-sig",
    "utf-16",
    "utf-16-le",
    "cp1252",
    "cp1251",
    "gb18030",
    "shift_jis",
)


def sheet_rows(draw: random.Random) -> list[list[object]]:
    """Return a table of tasks with some hostile cells."""
    heads = ["No.", "Task", "Time (s)", "After", "Line", "Tool", "Model A", "Remark"]
    rows: list[list[object]] = [list(heads)]
    for n in range(1, draw.choice((1, 5, 40, 200)) + 1):
        rows.append([10 * n, f"Fit {n}", n % 7 + 0.5, str(10 * n - 10), "main", "press", 3, ""])
    for _ in range(draw.randrange(30)):
        row = draw.choice(rows)
        row[draw.randrange(len(row))] = draw.choice(HOSTILE)
    if draw.random() < 0.3:
        draw.shuffle(rows)
    if draw.random() < 0.2:
        for row in rows:
            draw.shuffle(row)
    return rows


def as_csv(draw: random.Random, rows: list[list[object]]) -> bytes:
    """Return rows as text in some encoding, parted by some sign."""
    out = io.StringIO()
    csv.writer(out, delimiter=draw.choice(";,\t|"), quoting=draw.choice((0, 1, 2))).writerows(rows)
    return out.getvalue().encode(draw.choice(ENCODINGS), "replace")


def as_workbook(draw: random.Random, rows: list[list[object]]) -> bytes:
    """Return rows as a workbook whose cells were typed, formulas included."""
    book = openpyxl.Workbook()
    sheet = book.active
    for _ in range(draw.randrange(4)):
        sheet.append(["Line plan"])
    for row in rows:
        sheet.append([_cell(value) for value in row])
    if draw.random() < 0.3:
        sheet.merge_cells(start_row=1, end_row=draw.randint(1, 6), start_column=1, end_column=4)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _cell(value: object) -> object:
    """Return what a workbook can hold of a value."""
    if not isinstance(value, str):
        return value
    return openpyxl.cell.cell.ILLEGAL_CHARACTERS_RE.sub("", value)[:32_000]


def repacked(content: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    """Return a workbook with its parts changed; None leaves a part out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", 8) as new:
        for part in old.infolist():
            changed = change(part.filename, old.read(part))
            if changed is not None:
                new.writestr(part.filename, changed)
    return out.getvalue()


def cut(draw: random.Random, content: bytes) -> bytes:
    """Cut a file off."""
    return content[: draw.randrange(len(content) + 1)]


def flipped(draw: random.Random, content: bytes) -> bytes:
    """Change single bytes."""
    changed = bytearray(content)
    for _ in range(draw.randint(1, 40)):
        if changed:
            changed[draw.randrange(len(changed))] = draw.randrange(256)
    return bytes(changed)


def flipped_inside(draw: random.Random, content: bytes) -> bytes:
    """Change single bytes of the parts of a workbook, its checksums made good again."""
    chosen = draw.choice(("sheet", "shared", "styles", "workbook", "Content", ".rels"))
    return repacked(content, lambda name, data: flipped(draw, data) if chosen in name else data)


def without_part(draw: random.Random, content: bytes) -> bytes:
    """Leave a part out, or double its content."""
    chosen = draw.choice(("sheet", "shared", "styles", "workbook", "Content", ".rels"))
    return repacked(
        content,
        lambda name, data: draw.choice((None, data * 2, b"")) if chosen in name else data,
    )


def entity_bomb(draw: random.Random, content: bytes) -> bytes:
    """Declare entities that unfold without end, or read a file."""
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "' + b"&a;" * 50
    bomb += b'"><!ENTITY c "' + b"&b;" * 50 + b'"><!ENTITY f SYSTEM "file:///etc/passwd">]>'

    def changed(name: str, data: bytes) -> bytes:
        if "sheet" not in name and "shared" not in name:
            return data
        body = data.partition(b"?>")[2].replace(b"</v>", draw.choice((b"&c;</v>", b"&f;</v>")))
        return bomb + body

    return repacked(content, changed)


def zip_bomb(draw: random.Random, content: bytes) -> bytes:
    """Let a part unpack to very much."""
    size = draw.choices((1, 20, 200), (12, 3, 1))[0] * 1_000_000
    filling = draw.choice((b"<c><v>1</v></c>", b"<row>", b" ", b"<a>"))

    def changed(name: str, data: bytes) -> bytes:
        if "sheet1" not in name:
            return data
        return data.replace(b"<sheetData>", b"<sheetData>" + filling * (size // len(filling)))

    return repacked(content, changed)


def false_sizes(draw: random.Random, content: bytes) -> bytes:
    """Claim other sizes and checksums in the directory of the archive."""
    changed = bytearray(content)
    at = content.rfind(b"PK\x01\x02")
    for _ in range(draw.randint(1, 6)):
        if at > 0:
            changed[at + draw.randrange(4, 46)] = draw.randrange(256)
    return bytes(changed)


def far_cells(draw: random.Random, content: bytes) -> bytes:
    """Claim cells at the ends of the sheet, or where no sheet reaches."""
    place = draw.choice((b"XFD1048576", b"ZZZZ99999999", b"A0", b"A-1", b"1A", b""))
    return repacked(
        content,
        lambda name, data: (
            data.replace(b'r="A1"', b'r="' + place + b'"').replace(b'ref="A1', b'ref="A1:' + place)
            if "sheet" in name
            else data
        ),
    )


def deep(draw: random.Random, content: bytes) -> bytes:
    """Put elements into one another without end."""
    depth = draw.choice((100, 100_000))
    nest = b"<x>" * depth + b"</x>" * depth
    return repacked(
        content,
        lambda name, data: (
            data.replace(b"<sheetData>", nest + b"<sheetData>") if "sheet1" in name else data
        ),
    )


def long_table(draw: random.Random, _: bytes) -> bytes:
    """Return a text table of very many rows, columns or signs."""
    kind = draw.randrange(4)
    if kind == 0:
        return b"No;Task;Time (s)\n" + b"10;Fit;5\n" * 150_000
    if kind == 1:
        return b";".join(b"c%d" % n for n in range(20_000)) + b"\n" + b";" * 20_000
    if kind == 2:
        return b'No;Task\n10;"' + b"x" * 3_000_000
    return b"\n" * 1_000_000


def other_kind(draw: random.Random, _: bytes) -> bytes:
    """Return a file of another kind."""
    return draw.choice(
        (
            b"", b"\0" * 1000, b"%PDF-1.7\n%abc", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
            b"PK\x03\x04" + b"\0" * 100, b"PK\x05\x06" + b"\0" * 18,
            b"\x89PNG\r\n\x1a\n" + b"x" * 50,
            b"<html><table><tr><td>No</td></tr></table></html>", b'{"tasks": [1, 2]}',
            b"\xff\xfe", b"\xef\xbb\xbf", zlib.compress(b"x" * 1000), draw.randbytes(2000),
        )
    )  # fmt: skip


OF_WORKBOOKS = (
    cut, flipped, flipped_inside, flipped_inside, without_part, entity_bomb, zip_bomb, false_sizes,
    far_cells, deep, lambda _, content: content,
)  # fmt: skip
OF_TEXTS = (cut, flipped, long_table, other_kind, lambda _, content: content)


def mutated(number: int, whole: list[bytes]) -> tuple[str, bytes]:
    """Return the file of a number with its name; the same number gives the same file."""
    draw = random.Random(SEED + number)
    if draw.random() < 0.6:
        content = draw.choice(whole) if draw.random() < 0.4 else as_workbook(draw, sheet_rows(draw))
        return "plan.xlsx", draw.choice(OF_WORKBOOKS)(draw, content)
    # Great files are few, as they are in life.
    kinds = OF_TEXTS if draw.random() < 0.1 else (cut, flipped, OF_TEXTS[-1])
    return "plan.csv", draw.choice(kinds)(draw, as_csv(draw, sheet_rows(draw)))


def main() -> None:
    """Read so many files, and write what happened as JSON."""
    count, address = int(sys.argv[1]), sys.argv[2]
    store = open_store(address)
    store.add_product(PRODUCT, {}, by=Author("ana", datetime.now(UTC)))
    before = store.draft("M-1")
    whole = [dirty_workbook().content, write_workbook(PRODUCT, {})[0]]
    endings: collections.Counter[str] = collections.Counter()
    refusals, traces = set(), []
    slowest = (0.0, 0)
    for number in range(count):
        name, content = mutated(number, whole)
        start = time.monotonic()
        try:
            sheet = likeliest_sheet(read_foreign(content, name))
            found = preview(PRODUCT, sheet, columns_of(store, sheet).mapping, {})
            endings["read"] += 1
            refusals |= {(finding.message, finding.hint) for finding in found.imported.report}
        except StationflowError as problem:
            endings["refused"] += 1
            refusals.add((problem.message, problem.hint))
        except Exception:
            endings["trace"] += 1
            traces.append(f"{number}: {traceback.format_exc(limit=-4)}")
        slowest = max(slowest, (time.monotonic() - start, number))
    after = store.draft("M-1")
    said = {
        "endings": endings,
        "sentences": sorted(refusals),
        "traces": traces[:10],
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "slowest_s": slowest,
        "untouched": after == before and len(store.products()) == 1,
    }
    sys.stdout.write(json.dumps(said))


if __name__ == "__main__":
    main()
