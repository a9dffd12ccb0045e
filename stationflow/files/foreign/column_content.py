"""What a column seems to hold when its heading does not tell: judged by its cells."""

import re
from dataclasses import dataclass, replace

from stationflow.files.foreign.column_mapping import (
    ColumnMapping,
    MappedColumn,
    TableKind,
    Target,
)
from stationflow.files.foreign.foreign_sheet import DateCell, ForeignSheet, RawCell, stood
from stationflow.model.schema.cells import tidy

JUDGED_ROWS = 200
KEY = re.compile(r"[A-Za-z]{0,4}[-. ]?\d{1,6}(?:[.\-]\d{1,4})*[A-Za-z]?")
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
TIME = re.compile(r"\d+(?:[.,]\d+)?\s*(?:s|sec|sek|min)\.?|\d{1,3}[:']\d{2}\"?", re.IGNORECASE)
PARTED = re.compile(r"[;,/\s&+]+")


@dataclass(frozen=True, slots=True)
class Content:
    """What the cells of one column are like, each as a share of the cells that are filled."""

    filled: int
    distinct: float
    key: float
    number: float
    time: float
    lists: float
    letters: float
    words: float


def content_target(sheet: ForeignSheet, mapping: ColumnMapping) -> ColumnMapping:
    """Return the mapping with what the cells tell about columns whose heading does not.

    Only number, name, time and predecessors are found so; the rest is too alike.
    """
    first = mapping.first_data_row - 1
    cells = [_cells(sheet, p, first) for p in range(sheet.width)]
    columns = list(mapping.columns)
    if mapping.kind == TableKind.PARTS:
        order = [Target.PART_NUMBER, Target.PART_NAME]
    else:
        order = [Target.NUMBER, Target.NAME, Target.PREDECESSORS, Target.TIME]
        if not mapping.header_row:
            order = [Target.NUMBER, Target.PREDECESSORS, Target.TIME, Target.NAME]
    numbers: frozenset[str] = frozenset()
    for target in order:
        own = next((c for c in columns if c.target == target), None)
        if own is None:
            own = _best(columns, cells, target, numbers)
            if own is not None:
                columns[own.position] = own
        if target == Target.NUMBER and own is not None:
            numbers = frozenset(tidy(stood(raw)) for raw in cells[own.position])
    return replace(mapping, columns=tuple(columns))


def _cells(sheet: ForeignSheet, position: int, first: int) -> list[RawCell]:
    """Return the filled cells of a column."""
    rows = sheet.rows[first : first + JUDGED_ROWS]
    cells = [row[position] for row in rows if position < len(row)]
    return [raw for raw in cells if raw is not None and tidy(stood(raw))]


def _best(
    columns: list[MappedColumn], cells: list[list[RawCell]], target: Target, numbers: frozenset[str]
) -> MappedColumn | None:
    """Return the free column that fits a target best, or None."""
    weights = [
        (_weight(target, _content(cells[c.position], numbers)), -c.position)
        for c in columns
        # A heading that could not be read may still be a name; a name needs no heading.
        if c.target == Target.LEFT_OUT and (not c.heading or target in _EVEN_WITH_HEADING)
    ]
    weight, place = max(weights, default=(0.0, 0))
    if weight <= 0:
        return None
    return replace(columns[-place], target=target, why="by what stands in its cells")


_EVEN_WITH_HEADING = frozenset({Target.NUMBER, Target.NAME, Target.PART_NUMBER, Target.PART_NAME})


def _content(cells: list[RawCell], numbers: frozenset[str]) -> Content:
    """Return what the cells of a column are like."""
    texts = [tidy(stood(raw)) for raw in cells]
    count = len(texts) or 1
    return Content(
        filled=len(texts),
        distinct=len(set(texts)) / count,
        key=sum(bool(KEY.fullmatch(t)) for t in texts) / count,
        number=sum(bool(NUMBER.fullmatch(t)) for t in texts) / count,
        time=sum(bool(TIME.fullmatch(t)) for t in texts) / count,
        lists=sum(
            isinstance(raw, DateCell) or numbers.issuperset(filter(None, PARTED.split(text)))
            for raw, text in zip(cells, texts, strict=True)
        )
        / count
        if numbers
        else 0.0,
        letters=sum(sum(map(str.isalpha, t)) for t in texts) / count,
        words=sum(" " in t for t in texts) / count,
    )


def _weight(target: Target, content: Content) -> float:
    """Return how well a content fits a target; 0: not at all."""
    if not content.filled:
        return 0.0
    match target:
        case Target.NUMBER | Target.PART_NUMBER:
            fits = content.key > 0.7 and content.distinct > 0.9 and content.time < 0.5
            return content.key if fits else 0.0
        case Target.NAME | Target.PART_NAME:
            fits = content.letters > 4 and content.distinct > 0.4 and content.time < 0.3
            return content.letters * (1 + content.words) if fits else 0.0
        case Target.PREDECESSORS:
            return content.lists if content.lists > 0.8 and content.filled > 1 else 0.0
        case Target.TIME:
            return max(content.number, content.time) if content.number + content.time > 0.8 else 0.0
    return 0.0
