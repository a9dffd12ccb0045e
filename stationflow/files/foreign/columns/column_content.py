"""What a column seems to hold when its heading does not tell: judged by its cells."""

import re
from collections.abc import Iterable
from dataclasses import replace

from stationflow.files.foreign.column_mapping import ColumnMapping, TableKind, Target
from stationflow.files.foreign.foreign_sheet import DateCell, ForeignSheet, RawCell, stood
from stationflow.model.schema.cells import tidy

JUDGED_ROWS = 200
KEY = re.compile(r"[A-Za-z]{0,4}[-. ]?\d{1,6}(?:[.\-]\d{1,4})*[A-Za-z]?")
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
TIME = re.compile(r"\d+(?:[.,]\d+)?\s*(?:s|sec|sek|min)\.?|\d{1,3}[:']\d{2}\"?", re.IGNORECASE)
PARTED = re.compile(r"[;,/\s&+]+")
# A heading that could not be read may still be a name; the others need an empty one.
EVEN_WITH_HEADING = {Target.NUMBER, Target.NAME, Target.PART_NUMBER, Target.PART_NAME}


def content_target(sheet: ForeignSheet, mapping: ColumnMapping) -> ColumnMapping:
    """Return the mapping with what the cells tell about columns whose heading does not.

    Only number, name, time and predecessors are found so; the rest is too alike.
    """
    cells = [_cells(sheet, position, mapping.first_data_row) for position in range(sheet.width)]
    columns = list(mapping.columns)
    order = [Target.PART_NUMBER, Target.PART_NAME]
    if mapping.kind == TableKind.TASKS:
        order = [Target.NUMBER, Target.NAME, Target.PREDECESSORS, Target.TIME]
        if not mapping.header_row:
            order = [Target.NUMBER, Target.PREDECESSORS, Target.TIME, Target.NAME]
    numbers: frozenset[str] = frozenset()
    for target in order:
        own = next((c for c in columns if c.target == target), None)
        if own is None:
            weights = [
                (_weight(target, cells[c.position], numbers), -c.position)
                for c in columns
                if c.target == Target.LEFT_OUT and (not c.heading or target in EVEN_WITH_HEADING)
            ]
            weight, place = max(weights, default=(0.0, 0))
            if weight > 0:
                own = replace(columns[-place], target=target, why="by what stands in its cells")
                columns[own.position] = own
        if target == Target.NUMBER and own is not None:
            numbers = frozenset(tidy(stood(raw)) for raw in cells[own.position])
    return replace(mapping, columns=tuple(columns))


def _cells(sheet: ForeignSheet, position: int, first: int) -> list[RawCell]:
    """Return the filled cells of a column."""
    cells = (sheet.cell(row, position) for row in range(first, first + JUDGED_ROWS))
    return [raw for raw in cells if raw is not None and tidy(stood(raw))]


def _weight(target: Target, cells: list[RawCell], numbers: frozenset[str]) -> float:
    """Return how well the cells of a column fit a target; 0: not at all."""
    if not cells:
        return 0.0
    texts = [tidy(stood(raw)) for raw in cells]
    time = _share(map(TIME.fullmatch, texts))
    distinct = len(set(texts)) / len(texts)
    match target:
        case Target.NUMBER | Target.PART_NUMBER:
            key = _share(map(KEY.fullmatch, texts))
            return key if key > 0.7 and distinct > 0.9 and time < 0.5 else 0.0
        case Target.NAME | Target.PART_NAME:
            letters = sum(sum(map(str.isalpha, text)) for text in texts) / len(texts)
            fits = letters > 4 and distinct > 0.4 and time < 0.3
            return letters * (1 + _share(" " in text for text in texts)) if fits else 0.0
        case Target.PREDECESSORS:
            lists = _share(
                isinstance(raw, DateCell) or numbers.issuperset(filter(None, PARTED.split(text)))
                for raw, text in zip(cells, texts, strict=True)
            )
            return lists if numbers and lists > 0.8 and len(cells) > 1 else 0.0
    number = _share(map(NUMBER.fullmatch, texts))
    return max(number, time) if number + time > 0.8 else 0.0


def _share(found: Iterable[object]) -> float:
    """Return the share of what is found."""
    hits = [bool(one) for one in found]
    return sum(hits) / len(hits)
