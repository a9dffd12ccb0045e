"""A product as a folder: `product.toml`, CSV tables, pictures and plans.

It reads well in a diff and can be written by hand. What is broken in it is a
finding with its place; the rest is read all the same.
"""

import csv
import json
import re
import tomllib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stationflow.errors import DocumentError, SourceError
from stationflow.files.codec import PLAN
from stationflow.files.csv_text import read_csv, write_csv
from stationflow.files.pictures import (
    clean_picture,
    name_problem,
    picture_checksum,
    picture_cost,
    refused,
)
from stationflow.files.product.folder_access import names_inside, read_inside
from stationflow.files.product.product_rows import Values, product_of, rows_of
from stationflow.files.product.table_reading import (
    Found,
    Row,
    read_headings,
    read_row,
    read_table,
    too_many_rows,
)
from stationflow.files.product.toml_text import write_toml
from stationflow.files.whole_files import write_inside
from stationflow.model import Finding, Plan, Product, error, warning
from stationflow.model.schema.cells import written_value
from stationflow.model.schema.columns import Kind, Table
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.model.size_limits import (
    LARGEST_HEADER,
    LARGEST_PICTURE,
    LARGEST_PICTURES,
    LARGEST_PLAN,
    LARGEST_TABLE,
    MOST_PIXELS,
    MOST_PIXELS_OF_ALL,
    MOST_PLANS,
    most_rows,
)

HEADER = "product.toml"
HEADER_TABLES = tuple(table for table in TABLES if table.in_toml)
PICTURES = "pictures"
PLANS = "plans"
QUOTED = re.compile(r""" "[^"\n]*"|'[^'\n]*' """, re.VERBOSE)
MOST_KEY_PARTS = 200
PIXELS_OF_ALL = (
    f"with it all pictures of the product together have more than "
    f"{MOST_PIXELS_OF_ALL // 1_000_000} million pixels; make them smaller"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductFile:
    """What was read from a product folder or product workbook."""

    product: Product  # the product, as far as it could be read
    pictures: tuple[tuple[str, bytes], ...] = ()  # name and bytes of each picture, cleaned
    plans: tuple[Plan, ...] = ()  # the plans stored with it
    findings: tuple[Finding, ...] = ()  # what was wrong, with its place


def read_product_folder(path: Path | str) -> ProductFile:
    """Read a product folder.

    Raises `SourceError` if there is no such folder, or it has no `product.toml`.
    """
    folder = Path(path)
    if not folder.is_dir():
        raise SourceError(str(path), "there is no such folder.", "Check the path.")
    if not (folder / HEADER).is_symlink() and not (folder / HEADER).exists():
        raise SourceError(
            str(path), f"the folder has no {HEADER}.", "Give a product folder, or start from one."
        )
    found = Found()
    rows = _read_header(folder, found)
    for table in TABLES:
        if not table.in_toml:
            rows[table.name] = _read_csv_table(folder, table, found)
    _name_strangers(folder, found)
    pictures = read_pictures(
        (
            (name, read_inside(folder, f"{PICTURES}/{name}", LARGEST_PICTURE, found))
            for name in names_inside(folder, PICTURES, found)
        ),
        found,
    )
    plans = _read_plans(folder, found)
    return product_file(rows, folder.resolve().name, pictures, plans, HEADER, found)


def read_pictures(files: Iterable[tuple[str, bytes | None]], found: Found) -> dict[str, bytes]:
    """Return the pictures that may be kept, by name; the others are findings."""
    pictures: dict[str, bytes] = {}
    bytes_left, pixels_left = LARGEST_PICTURES, MOST_PIXELS_OF_ALL
    for name, data in files:
        if data is None:
            continue
        if len(pictures) >= most_rows(PICTURES) or len(data) > bytes_left:
            message = f"There are more than {most_rows(PICTURES)} pictures, or they have more than "
            message += f"{LARGEST_PICTURES // 1_000_000} MB together; {name!r} and those after it "
            hint = "Make the pictures smaller, or take some out."
            found.add(error("file-too-large", PICTURES, f"{message}were not read.", hint))
            break
        cost = picture_cost(data)
        if MOST_PIXELS >= cost > pixels_left:
            found.add(refused(name, PIXELS_OF_ALL))
            continue
        cleaned, finding = clean_picture(data, name)
        if finding:
            found.add(finding)
        if cleaned is not None:
            pictures[name] = cleaned
            bytes_left -= len(cleaned)
            pixels_left -= cost
    return pictures


def product_file(
    rows: dict[str, list[Row]],
    code: str,
    pictures: Mapping[str, bytes],
    plans: tuple[Plan, ...],
    where: str,
    found: Found,
) -> ProductFile:
    """Return what rows, pictures and plans make; `code` where the rows name none."""
    for table in TABLES:
        rows[table.name] = [
            _without_bad_names(table, row, found) for row in rows.get(table.name, ())
        ]
    checksums = {name: picture_checksum(data) for name, data in pictures.items()}
    product = product_of(rows, code, checksums, where, found)
    kept = tuple((picture.name, pictures[picture.name]) for picture in product.pictures)
    return ProductFile(product=product, pictures=kept, plans=plans, findings=found.findings)


def _without_bad_names(table: Table, row: Row, found: Found) -> Row:
    """Return a row without names of pictures that point anywhere but to a plain picture."""
    for column in table.columns:
        name = row.values.get(column.name)
        if column.kind != Kind.PICTURE or not isinstance(name, str) or not name:
            continue
        if problem := name_problem(name):
            found.add(refused(name, f"{problem} ({row.where})"))
            return Row(values={**row.values, column.name: ""}, where=row.where)
    return row


def _read_header(folder: Path, found: Found) -> dict[str, list[Row]]:
    """Return the rows of the tables that stand in `product.toml`."""
    rows: dict[str, list[Row]] = {}
    data = read_inside(folder, HEADER, LARGEST_HEADER, found, *HEADER_TABLES)
    if data is None:
        return rows
    try:
        text = data.decode("utf-8-sig")
        if _has_deep_key(text):
            message = f"A name in it has more than {MOST_KEY_PARTS} parts; it was not read."
            hint = "Compare the file with that of a product as Stationflow writes it."
            found.miss(error("file-broken", HEADER, message, hint), *HEADER_TABLES)
            return rows
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as cause:
        broken = error("file-broken", HEADER, f"It is not TOML: {str(cause)[:200]}.")
        found.miss(broken, *HEADER_TABLES)
        return rows
    for name, content in document.items():
        table = TABLE.get(name)
        if table is None or not table.in_toml:
            known = ", ".join(t.name for t in HEADER_TABLES)
            message = f"{name[:40]!r} is not one of its tables ({known}); it was not read."
            found.add(warning("unknown-table", HEADER, message))
            continue
        records = content if isinstance(content, list) else [content]
        if not all(isinstance(record, dict) for record in records):
            message = f"{name!r} must be a table with a heading in square brackets."
            found.miss(error("value-not-read", HEADER, message), table)
            continue
        rows[name] = []
        if len(records) > most_rows(name):
            found.miss(too_many_rows(name, f"{HEADER}, {name}", len(records)), table)
        for number, record in enumerate(records[: most_rows(name)], start=1):
            where = f"{HEADER}, {table.name}" + ("" if table.is_single else f" {number}")
            headings = read_headings(table, list(record), where, found)
            if row := read_row(table, headings, list(record.values()), where, found):
                rows[name].append(row)
    return rows


def _has_deep_key(text: str) -> bool:
    """Return whether a key has very many parts, which the TOML reader takes very long for."""
    bare = QUOTED.sub("", text)
    return any(
        part.count(".") > MOST_KEY_PARTS for line in bare.splitlines() for part in line.split("=")
    )


def _read_csv_table(folder: Path, table: Table, found: Found) -> list[Row]:
    name = f"{table.name}.csv"
    data = read_inside(folder, name, LARGEST_TABLE, found, table)
    if data is None:
        if table.name == "tasks" and not (folder / name).exists():
            found.add(error("file-missing", name, "The product has no table of tasks."))
        return []
    try:
        return read_table(table, read_csv(data), name, found)
    except UnicodeDecodeError as cause:
        message = f"Byte {cause.start + 1} is not UTF-8; the table was not read."
        found.miss(error("file-broken", name, message, "Save the table as CSV in UTF-8."), table)
    except csv.Error as cause:
        found.miss(error("file-broken", name, f"It is not a CSV table: {cause}."), table)
    return []


def _name_strangers(folder: Path, found: Found) -> None:
    """Note CSV tables that are none of a product's."""
    known = {f"{table.name}.csv" for table in TABLES if not table.in_toml}
    for name in names_inside(folder, ".", found):
        if name.lower().endswith(".csv") and name not in known:
            message = f"It is not one of the tables of a product ({', '.join(sorted(known))})."
            found.add(warning("unknown-table", name, message))


def _read_plans(folder: Path, found: Found) -> tuple[Plan, ...]:
    plans = []
    names = list(names_inside(folder, PLANS, found))
    if len(names) > MOST_PLANS:
        message = f"There are {len(names)} files; the first {MOST_PLANS} were read."
        found.add(warning("file-too-large", PLANS, message, "Take old plans out."))
    for name in names[:MOST_PLANS]:
        place = f"{PLANS}/{name}"
        if name.lower().endswith(".json"):
            data = read_inside(folder, place, LARGEST_PLAN, found)
            if data is not None and (plan := read_plan(data, place, found)):
                plans.append(plan)
    return tuple(plans)


def read_plan(data: bytes | str, where: str, found: Found) -> Plan | None:
    """Return a stored plan, or note that it is broken."""
    try:
        return PLAN.from_json(data)
    except DocumentError as cause:
        found.add(error("plan-file-broken", where, cause.message, cause.hint))
        return None


def write_product_folder(
    path: Path | str, product: Product, pictures: Mapping[str, bytes], plans: Sequence[Plan] = ()
) -> None:
    """Write a product folder; one that is there already is brought to the same content.

    Of the pictures, bytes by name, only those the product lists are written.

    Raises `SourceError` if the folder holds other things than a product, or cannot be written.
    Raises `ValueError` if a number of the product is infinite, or the name of a picture is no plain
    file name.
    """
    folder = Path(path)
    names = [picture.name for picture in product.pictures if picture.name in pictures]
    if bad := [name for name in names if name_problem(name)]:
        raise ValueError(f"not the name of a picture: {bad[0]!r}")
    try:
        _prepare(folder)
        files = _tables(product) | {f"{PICTURES}/{name}": pictures[name] for name in names}
        for number, plan in enumerate(plans, start=1):
            fields = json.loads(PLAN.to_json(plan))
            text = json.dumps(fields, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
            files[f"{PLANS}/{number:03d}.json"] = text.encode("utf-8")
        write_inside(folder, files)
        _take_away_older(folder, files)
    except OSError as cause:
        raise SourceError(str(path), f"it cannot be written ({cause.strerror}).") from cause


def _prepare(folder: Path) -> None:
    """Make the folder, or look whether it is one of a product."""
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.iterdir()) and not (folder / HEADER).is_file():
        hint = "Choose a new folder, or that of a product."
        raise SourceError(str(folder), "it holds other things than a product.", hint)
    for name in (PICTURES, PLANS):
        inner = folder / name
        if inner.is_symlink():
            raise SourceError(str(inner), "it is a link.", "Take the link away.")
        inner.mkdir(exist_ok=True)


def _take_away_older(folder: Path, files: Collection[str]) -> None:
    """Take away what an earlier product left in the folder."""
    old = [folder / f"{table.name}.csv" for table in TABLES]
    for name, endings in ((PICTURES, (".png", ".jpg", ".jpeg")), (PLANS, (".json",))):
        old += [path for path in (folder / name).iterdir() if path.suffix.lower() in endings]
    for path in old:
        if path.relative_to(folder).as_posix() not in files and not path.is_dir():
            path.unlink(missing_ok=True)


def _tables(product: Product) -> dict[str, bytes]:
    rows = rows_of(product)
    header: dict[str, Any] = {}
    files: dict[str, bytes] = {}
    for table in TABLES:
        if table.in_toml:
            records = [_record(table, row) for row in rows[table.name]]
            header[table.name] = records[0] if table.is_single else records
        elif rows[table.name] or table.name == "tasks":
            grid: list[list[Any]] = [[column.name for column in table.columns]]
            grid += [[written_value(c, row[c.field]) for c in table.columns]
                     for row in rows[table.name]]  # fmt: skip
            files[f"{table.name}.csv"] = write_csv(grid)
    return {HEADER: write_toml({n: r for n, r in header.items() if r}), **files}


def _record(table: Table, row: Values) -> dict[str, Any]:
    """Return a row as a table of `product.toml`."""
    values: dict[str, Any] = {}
    for column in table.columns:
        value = row[column.field]
        if column.kind == Kind.DAYS and isinstance(value, tuple):
            values[column.name] = [str(day) for day in value]
        else:
            values[column.name] = value if isinstance(value, bool) else written_value(column, value)
    return {name: value for name, value in values.items() if value not in ("", None)}
