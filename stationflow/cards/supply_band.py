"""The band below the tasks: parts in order of use in columns side by side, tools at the right."""

import math
from dataclasses import dataclass
from typing import Any

from stationflow.cards.card import Card, CardPart, CardTool
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    line_count,
    text_height,
    widest_word,
    width_of,
)
from stationflow.cards.sheet import Piece, Sheet, em_of

LARGEST, SMALLEST = 11.0, 8.5
"""Sizes of the band in points."""
SMALL = 0.85
ROW_PAD = 0.42
CELL_GAP = 0.8
"""Room between quantity, name and container, in em."""
COLUMN_GAP = 6.0
BAND_PAD = 2.4
HEAD_PAD = 0.5
MOST_AMOUNT, MOST_CONTAINER, MOST_SETTING = 0.3, 0.42, 0.45
"""Shares of a table's width; a wide word may take twice as much."""
LEAST_NAME = 8.0
"""Width of a part's name in em below which fewer columns are set side by side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """A table of the band: widths in em of its text, heights of its rows in em."""

    widths: tuple[float, ...]
    rows: list[dict[str, Any]]
    heights: list[float]
    widest: float
    """Width in em of the widest word of a name."""


def band_pieces(card: Card, sheet: Sheet, size: float, most: float) -> tuple[Piece, ...]:
    """Return parts and tools as one piece, or as several where taller than `most` mm."""
    size = band_size(size, sheet)
    if not card.parts and not card.tools:
        return ()
    is_narrow, whole = _band(card, card.parts, card.tools, sheet, size)
    if whole.height <= most and not (is_narrow and card.parts and card.tools):
        return (whole,)
    pieces = []
    for parts, tools in ((card.parts, ()), ((), card.tools)):
        pieces += _cut(card, parts, tools, sheet, size, most) if parts or tools else []
    return tuple(pieces)


def band_size(size: float, sheet: Sheet) -> float:
    """Return the size of the band below tasks of a size, in points."""
    return sheet.type(max(SMALLEST, min(LARGEST, size - 1)))


def _cut(
    card: Card,
    parts: tuple[CardPart, ...],
    tools: tuple[CardTool, ...],
    sheet: Sheet,
    size: float,
    most: float,
) -> list[Piece]:
    """Halve a band until every piece is low enough."""
    _, piece = _band(card, parts, tools, sheet, size)
    count = len(parts) + len(tools)
    if piece.height <= most or count == 1:
        return [piece]
    p, t = math.ceil(len(parts) / 2), math.ceil(len(tools) / 2)
    return _cut(card, parts[:p], tools[:t], sheet, size, most) + _cut(
        card, parts[p:], tools[t:], sheet, size, most
    )


def _band(
    card: Card, parts: tuple[CardPart, ...], tools: tuple[CardTool, ...], sheet: Sheet, size: float
) -> tuple[bool, Piece]:
    """Return the lowest arrangement of parts and tools, and whether its columns are narrow."""
    ways = [
        (p, t)
        for p in (range(1, min(4, len(parts)) + 1) if parts else [0])
        for t in (range(1, min(3, len(tools)) + 1) if tools else [0])
    ]
    tables = {}
    for columns in {p + t for p, t in ways}:
        width = (sheet.width - COLUMN_GAP * (columns - 1)) / columns
        room = em_of(width, size)
        tables[columns] = (width, _part_table(parts, room), _tool_table(tools, room))
    return min(
        (_arranged(card, *tables[p + t], (p, t), sheet, size) for p, t in ways),
        key=lambda made: (made[0], made[1].height),
    )


def _arranged(
    card: Card,
    width: float,
    parts: _Table,
    tools: _Table,
    across: tuple[int, int],
    sheet: Sheet,
    size: float,
) -> tuple[bool, Piece]:
    """Return the band with so many columns side by side, and whether they are hard to read."""
    em = size * PT_MM
    tables = []
    is_narrow = False
    for title, table, count, name in (
        (card.say("Parts, in order of use"), parts, across[0], 1),
        (card.say("Tools and settings"), tools, across[1], 0),
    ):
        if table.rows:
            tables += _side_by_side(title, table, count)
            is_narrow |= table.widths[name] < max(LEAST_NAME, table.widest)
    tallest = max(table["height"] for table in tables)
    small = 1.0 if sheet.large else SMALL
    head = text_height(1, size * small) + HEAD_PAD * em
    data = {"size": size, "width": width, "tables": tables, "gap": COLUMN_GAP, "small": small}
    height = BAND_PAD + head + tallest * em
    return is_narrow, Piece(kind="band", height=height, data=data)


def _side_by_side(title: str, table: _Table, across: int) -> list[dict[str, Any]]:
    """Return a table cut into columns, read downwards."""
    count = math.ceil(len(table.rows) / across)
    starts = range(0, len(table.rows), count)
    return [
        {
            "title": title if start == 0 else "",
            "widths": table.widths,
            "rows": table.rows[start : start + count],
            "height": sum(table.heights[start : start + count]),
        }
        for start in starts
    ]


def _row_height(lines: int) -> float:
    """Return the height of a row in em."""
    return text_height(lines, 1.0) / PT_MM + ROW_PAD


def _part_table(parts: tuple[CardPart, ...], room: float) -> _Table:
    """Return the parts with quantity, name and number, container."""
    amounts = [f"{p.quantity} {p.unit}".strip() for p in parts]
    amount = _column(amounts, room * MOST_AMOUNT, True)
    container = _column([p.container for p in parts], room * MOST_CONTAINER, True)
    name = room - amount - container - (2 if container else 1) * CELL_GAP
    rows, heights, longest = [], [], 0.0
    for part, quantity in zip(parts, amounts, strict=True):
        words, number = (part.name, part.number) if part.name else (part.number, "")
        said = (f"{words} {number}").strip()
        cells = [
            breakable(quantity, amount, True),
            breakable(words, name, True),
            breakable(number, name),
            breakable(part.container, container, True),
        ]
        lines = max(
            line_count(said, name, True),
            line_count(quantity, amount, True),
            line_count(part.container, container, True) if container else 0,
        )
        rows.append({"cells": cells})
        heights.append(_row_height(lines))
        longest = max(longest, widest_word(said, True))
    return _Table(widths=(amount, name, container), rows=rows, heights=heights, widest=longest)


def _column(texts: list[str], most: float, bold: bool) -> float:
    """Return the width of a column in em: at most `most`, or as much as its widest word takes."""
    widest = max((width_of(text, bold) for text in texts), default=0.0)
    word = max((widest_word(text, bold) for text in texts), default=0.0)
    return min(widest, max(most, min(word, 2 * most)))


def _tool_table(tools: tuple[CardTool, ...], room: float) -> _Table:
    """Return the tools with their settings."""
    setting = _column([t.setting for t in tools], room * MOST_SETTING, True)
    tool = room - setting - (CELL_GAP if setting else 0.0)
    rows, heights, longest = [], [], 0.0
    for one in tools:
        value = one.setting
        lines = max(line_count(one.tool, tool), line_count(value, setting, True) if value else 0)
        rows.append({"cells": [breakable(one.tool, tool), breakable(value, setting, True)]})
        heights.append(_row_height(max(lines, 1)))
        longest = max(longest, widest_word(one.tool))
    return _Table(widths=(tool, setting), rows=rows, heights=heights, widest=longest)
