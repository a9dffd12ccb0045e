"""Which column of a stranger's sheet holds what, and how that is remembered."""

import hashlib
import json
from dataclasses import dataclass, replace
from enum import StrEnum

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


TASK_TARGETS = tuple(Target)[: list(Target).index(Target.PART_NUMBER)]
PART_TARGETS = (Target.LEFT_OUT, *tuple(Target)[list(Target).index(Target.PART_NUMBER) :])
TARGETS: dict[TableKind, tuple[Target, ...]] = {
    TableKind.TASKS: TASK_TARGETS,
    TableKind.PARTS: PART_TARGETS,
}
"""What the columns of each kind of table may hold."""

TIME_TARGETS = frozenset({Target.TIME, Target.MODEL_TIME, Target.TIME_SD})
MANY = frozenset({Target.LEFT_OUT, Target.MODEL_TIME, Target.STEP, Target.TOOLS, Target.REMARK})
"""Targets that several columns may have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MappedColumn:
    """One column of the sheet and what it holds.

    Attributes
    ----------
    position
        Position in the sheet, from 0.
    heading
        Its heading as it stands; may be empty.
    target
        What it holds.
    model
        For `Target.MODEL_TIME`: the model.
    unit
        For a time: the unit its heading or its units row names; None: not said.
        For `Target.WEIGHT` see `weight_unit`.
    weight_unit
        For `Target.WEIGHT`: "g" or "kg"; empty: not said.
    why
        Why it was guessed so: "the heading says so"; empty: chosen by a person.
    """

    position: int
    heading: str = ""
    target: Target = Target.LEFT_OUT
    model: str = ""
    unit: TimeUnit | None = None
    weight_unit: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnMapping:
    """How one sheet is to be read.

    Attributes
    ----------
    kind
        Whether the rows are tasks or parts.
    sheet
        Name of the sheet.
    header_row
        Row of the headings, from 1; 0: there are none and the data begins in row 1.
    header_rows
        How many rows the headings take, a row of units below them included.
    columns
        The columns from left to right.
    time_unit
        Unit of the times whose heading names none; None: not yet chosen.
    """

    kind: TableKind = TableKind.TASKS
    sheet: str
    header_row: int = 1
    header_rows: int = 1
    columns: tuple[MappedColumn, ...] = ()
    time_unit: TimeUnit | None = None

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

    def with_target(self, position: int, target: Target, model: str = "") -> "ColumnMapping":
        """Return the mapping with another target for one column.

        A column that had the target before gives it up, unless several may have it.
        """
        columns = tuple(
            replace(c, target=target, model=model, why="")
            if c.position == position
            else replace(c, target=Target.LEFT_OUT, why="")
            if c.target == target and target not in MANY
            else c
            for c in self.columns
        )
        return replace(self, columns=columns)


def heading_signature(sheet: ForeignSheet, header_row: int) -> str:
    """Return what tells tables with the same headings: a checksum of the heading texts.

    Case, blanks and empty columns at the right end do not count; the order of the columns does.

    Parameters
    ----------
    header_row
        Row of the headings, from 1; 0: there are none, and only the width counts.
    """
    if not header_row:
        return _checksum([f"no headings, {sheet.width} columns"])
    cells = sheet.rows[header_row - 1] if header_row <= len(sheet.rows) else ()
    words = [" ".join(tidy(stood(cell)).casefold().split()) for cell in cells]
    while words and not words[-1]:
        words.pop()
    return _checksum(words)


def _checksum(words: list[str]) -> str:
    """Return the SHA-256 of a list of words, in hexadecimal."""
    text = json.dumps(words, ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def mapping_to_json(mapping: ColumnMapping) -> str:
    """Return a mapping as JSON, to be remembered."""
    return json.dumps(
        {
            "kind": mapping.kind,
            "sheet": mapping.sheet,
            "header_row": mapping.header_row,
            "header_rows": mapping.header_rows,
            "time_unit": mapping.time_unit,
            "columns": [
                {
                    "position": c.position,
                    "heading": c.heading,
                    "target": c.target.name,
                    "model": c.model,
                    "unit": c.unit,
                    "weight_unit": c.weight_unit,
                }
                for c in mapping.columns
            ],
        },
        sort_keys=True,
    )


def mapping_from_json(text: str) -> ColumnMapping:
    """Return the mapping that `mapping_to_json` wrote.

    Raises
    ------
    ValueError
        If the text is not that of a mapping.
    """
    try:
        fields = json.loads(text)
        return ColumnMapping(
            kind=TableKind(fields["kind"]),
            sheet=str(fields["sheet"]),
            header_row=int(fields["header_row"]),
            header_rows=int(fields["header_rows"]),
            time_unit=_unit(fields["time_unit"]),
            columns=tuple(
                MappedColumn(
                    position=int(column["position"]),
                    heading=str(column["heading"]),
                    target=Target[column["target"]],
                    model=str(column["model"]),
                    unit=_unit(column["unit"]),
                    weight_unit=str(column["weight_unit"]),
                )
                for column in fields["columns"]
            ),
        )
    except (KeyError, TypeError, AttributeError, RecursionError) as cause:
        raise ValueError(f"not a column mapping: {cause}") from cause


def _unit(value: object) -> TimeUnit | None:
    """Return the unit of time that was written, or None."""
    return None if value is None else TimeUnit(str(value))


def remembered_mapping(
    sheet: ForeignSheet, header_row: int, remembered: ColumnMapping
) -> ColumnMapping:
    """Return a remembered mapping for a sheet whose headings have the same signature.

    The sheet may have another name, and the headings may stand in another row.
    """
    return replace(
        remembered,
        sheet=sheet.name,
        header_row=header_row,
        columns=tuple(replace(c, why="remembered") for c in remembered.columns),
    )
