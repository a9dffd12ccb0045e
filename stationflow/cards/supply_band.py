"""The band below the tasks: parts in order of use in columns side by side, tools at the right."""

import math
from dataclasses import dataclass
from typing import Any

from stationflow.cards.card import Card, CardPart, CardTool
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    text_height,
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
MOST_CONTAINER = 0.42
LEAST_NAME = 8.0
"""Width of a part's name in em below which fewer columns are set side by side."""
LONG_NAME = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """A table of the band: widths in em of its text, heights of its rows in em."""

    widths: tuple[float, ...]
    rows: list[dict[str, Any]]
    heights: list[float]


def band_pieces(card: Card, sheet: Sheet, size: float, most: float) -> tuple[Piece, ...]:
    """Return parts and tools as one piece, or as several where taller than `most` mm."""
    size = band_size(size, sheet)
    if not card.parts and not card.tools:
        return ()
    whole = _band(card, card.parts, card.tools, sheet, size)
    if whole.height <= most:
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
    piece = _band(card, parts, tools, sheet, size)
    count = len(parts) + len(tools)
    if piece.height <= most or count == 1:
        return [piece]
    p, t = math.ceil(len(parts) / 2), math.ceil(len(tools) / 2)
    return _cut(card, parts[:p], tools[:t], sheet, size, most) + _cut(
        card, parts[p:], tools[t:], sheet, size, most
    )


def _band(
    card: Card, parts: tuple[CardPart, ...], tools: tuple[CardTool, ...], sheet: Sheet, size: float
) -> Piece:
    """Return the lowest arrangement of parts and tools."""
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
        key=lambda piece: piece.height,
    )


def _arranged(
    card: Card,
    width: float,
    parts: _Table,
    tools: _Table,
    across: tuple[int, int],
    sheet: Sheet,
    size: float,
) -> Piece:
    """Return the band with so many columns of parts and tools side by side."""
    em = size * PT_MM
    tables = []
    penalty = 0.0
    for title, table, count, name in (
        (card.say("Parts, in order of use"), parts, across[0], 1),
        (card.say("Tools and settings"), tools, across[1], 0),
    ):
        if table.rows:
            tables += _side_by_side(title, table, count)
            # Narrow columns are hard to read: they count as taller.
            penalty = 1000.0 if count > 1 and table.widths[name] < LEAST_NAME else penalty
    tallest = max(table["height"] for table in tables)
    small = 1.0 if sheet.large else SMALL
    head = text_height(1, size * small) + HEAD_PAD * em
    data = {"size": size, "width": width, "tables": tables, "gap": COLUMN_GAP, "small": small}
    height = BAND_PAD + head + tallest * em
    return Piece(kind="band", height=height + penalty, data=data)


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
    amount = min(max((width_of(a, True) for a in amounts), default=0.0), room * 0.3)
    widest = max((width_of(p.container, True) for p in parts), default=0.0)
    container = min(widest, room * MOST_CONTAINER)
    name = room - amount - container - (2 if container else 1) * CELL_GAP
    rows, heights = [], []
    for part, quantity in zip(parts, amounts, strict=True):
        words, number = (part.name, part.number) if part.name else (part.number, "")
        said = (f"{words} {number}").strip()
        for at, piece in enumerate(in_pieces(said, name, LONG_NAME, True)):
            whole = piece == said
            cells = [
                breakable(quantity, amount, True) if not at else "",
                breakable(words if whole else piece, name, True),
                breakable(number if whole else "", name),
                breakable(part.container, container, True) if not at else "",
            ]
            lines = max(
                line_count(piece, name, True),
                line_count(cells[0], amount, True),
                line_count(cells[3], container, True) if container else 0,
            )
            rows.append({"cells": cells})
            heights.append(_row_height(lines))
    return _Table(widths=(amount, name, container), rows=rows, heights=heights)


def _tool_table(tools: tuple[CardTool, ...], room: float) -> _Table:
    """Return the tools with their settings."""
    widest = max((width_of(t.setting, True) for t in tools), default=0.0)
    setting = min(widest, room * 0.5)
    tool = room - setting - (CELL_GAP if setting else 0.0)
    rows, heights = [], []
    for one in tools:
        names = in_pieces(one.tool, tool, LONG_NAME)
        settings = in_pieces(one.setting, setting, LONG_NAME, True) if one.setting else [""]
        for at in range(max(len(names), len(settings))):
            name = names[at] if at < len(names) else ""
            value = settings[at] if at < len(settings) else ""
            lines = max(line_count(name, tool), line_count(value, setting, True) if value else 0)
            rows.append({"cells": [breakable(name, tool), breakable(value, setting, True)]})
            heights.append(_row_height(max(lines, 1)))
    return _Table(widths=(tool, setting), rows=rows, heights=heights)
