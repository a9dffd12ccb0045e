"""Which column of a stranger's sheet holds what, and how that is remembered."""

import hashlib
import json
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any

from stationflow.files.foreign.foreign_sheet import ForeignSheet, stood
from stationflow.model.schema.cells import tidy
from stationflow.units import TimeUnit


class TableKind(StrEnum):
    """What the rows of a sheet are."""

    TASKS = "tasks"
    PARTS = "parts list"


class Target(StrEnum):
    """What a column holds; the value is how it is shown to be chosen."""

    LEFT_OUT = "left out"
    # tasks
    NUMBER = "task number"
    NAME = "task name"
    TIME = "time"
    MODEL_TIME = "time for one model"
    PREDECESSORS = "predecessors"
    FOLLOWERS = "followers"
    LINE = "line"
    MACHINE = "machine (yes or no)"
    TIME_SD = "standard deviation of the time"
    TIME_SOURCE = "time source"
    STATION = "station of today"
    STEP = "step"
    KEY_POINT = "key point"
    REASON = "reason"
    PARTS = "parts"
    PART_QUANTITY = "quantity of the part"
    TOOLS = "tools"
    CHECK = "check"
    CAUTION = "caution"
    REMARK = "remark"
    # parts list
    PART_NUMBER = "part number"
    PART_NAME = "part name"
    QUANTITY = "quantity in one product"
    UNIT = "unit of the quantity"
    CONTAINER = "container"
    CONTAINER_QUANTITY = "quantity in a container"
    WEIGHT = "weight of one"


_FIRST_OF_PARTS = list(Target).index(Target.PART_NUMBER)
TARGETS: dict[TableKind, tuple[Target, ...]] = {
    TableKind.TASKS: tuple(Target)[:_FIRST_OF_PARTS],
    TableKind.PARTS: (Target.LEFT_OUT, *tuple(Target)[_FIRST_OF_PARTS:]),
}
"""What the columns of each kind of table may hold."""

TIME_TARGETS = frozenset({Target.TIME, Target.MODEL_TIME, Target.TIME_SD})
MANY = frozenset(
    {Target.LEFT_OUT, Target.MODEL_TIME, Target.STEP, Target.TOOLS, Target.REMARK,
     Target.PREDECESSORS, Target.FOLLOWERS}
)  # fmt: skip
"""Targets that several columns may have."""


REMEMBERED = "remembered"


@dataclass(frozen=True, slots=True, kw_only=True)
class MappedColumn:
    """One column of the sheet and what it holds."""

    position: int  # from 0
    heading: str = ""  # as it stands
    target: Target = Target.LEFT_OUT
    model: str = ""  # of `Target.MODEL_TIME`
    unit: TimeUnit | None = None  # of a time, by its heading or units row; None: not said
    weight_unit: str = ""  # of `Target.WEIGHT`: "g" or "kg"; empty: not said
    why: str = ""  # why it was guessed so: "the heading says so"; empty: chosen by a person


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnMapping:
    """How one sheet is to be read."""

    kind: TableKind = TableKind.TASKS
    sheet: str
    header_row: int = 1  # from 1; 0: there are no headings and the data begins in row 1
    header_rows: int = 1  # rows the headings take, a row of units below them included
    columns: tuple[MappedColumn, ...] = ()  # from left to right

    @property
    def first_data_row(self) -> int:
        """Row in which the data begins, from 1."""
        return self.header_row + self.header_rows if self.header_row else 1

    def of(self, target: Target) -> MappedColumn | None:
        """Return the first column of a target, or None."""
        return next((column for column in self.columns if column.target == target), None)

    def all_of(self, target: Target) -> tuple[MappedColumn, ...]:
        """Return all columns of a target."""
        return tuple(column for column in self.columns if column.target == target)

    def with_column(self, position: int, **changes: Any) -> "ColumnMapping":
        """Return the mapping with something else said of one column, by a person.

        A column that had its new target before gives it up, unless several may have it.
        """
        if target := changes.get("target"):
            changes.setdefault("model", "")
        given_up = {c.position for c in self.columns if c.target == target and target not in MANY}
        columns = tuple(
            replace(c, **changes, why="")
            if c.position == position
            else replace(c, target=Target.LEFT_OUT, why="")
            if c.position in given_up
            else c
            for c in self.columns
        )
        return replace(self, columns=columns)


def heading_signature(sheet: ForeignSheet, header_row: int) -> str:
    """Return what tells tables with the same headings: a checksum of the heading texts.

    Case, blanks and empty columns at the right end do not count; the order of the columns does.
    Without headings (row 0) only the width counts.
    """
    words = [f"no headings, {sheet.width} columns"]
    if header_row:
        cells = sheet.rows[header_row - 1] if header_row <= len(sheet.rows) else ()
        words = [" ".join(tidy(stood(cell)).casefold().split()) for cell in cells]
        while words and not words[-1]:
            words.pop()
    return hashlib.sha256(json.dumps(words, ensure_ascii=True).encode("ascii")).hexdigest()


def mapping_to_json(mapping: ColumnMapping) -> str:
    """Return a mapping as JSON, to be remembered."""
    fields = asdict(mapping)
    for column in fields["columns"]:
        column["target"] = column["target"].name
        del column["why"]
    return json.dumps(fields, sort_keys=True)


def mapping_from_json(text: str) -> ColumnMapping:
    """Return the mapping that `mapping_to_json` wrote.

    Raises
    ------
    ValueError
        If the text is not that of a mapping.
    """
    from pydantic import TypeAdapter

    try:
        fields = json.loads(text)
        for column in fields["columns"]:
            column["target"] = Target[column["target"]]
        return TypeAdapter(ColumnMapping).validate_python(fields)
    except (KeyError, TypeError, AttributeError, RecursionError) as cause:
        raise ValueError(f"not a column mapping: {cause}") from cause


def remembered_mapping(
    sheet: ForeignSheet, header_row: int, remembered: ColumnMapping
) -> ColumnMapping:
    """Return a remembered mapping for a sheet whose headings have the same signature.

    The sheet may have another name, and the headings may stand in another row.
    """
    columns = tuple(replace(c, why=REMEMBERED) for c in remembered.columns)
    return replace(remembered, sheet=sheet.name, header_row=header_row, columns=columns)
