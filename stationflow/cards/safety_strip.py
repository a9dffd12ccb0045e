"""The strip below the header: cautions and protective equipment, only as tall as needed."""

import math
from typing import Any

from stationflow.cards.card import Card, CardCaution
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    lines_in,
    text_height,
    width_of,
)
from stationflow.cards.sheet import Piece, Sheet, em_of

SYMBOL = 11.5
"""Width of a symbol in mm; symbols must be legible at 8 mm."""
LARGEST, SMALLEST = 10.5, 9.0
"""Sizes of the words of a caution in points."""
SYMBOL_GAP = 2.2
COLUMN_GAP = 5.0
ROW_GAP = 1.6
LEAST_COLUMN = 52.0
DEFER_COLUMN = 44.0
LEAST_DEFER = 30.0
STRIP_PAD = 2.4
"""Room above and below the words inside the strip together, in mm."""
BELOW = 2.0
DEFER_GAP = 1.8
WORD = 0.92
"""Size of the words of protective equipment against those of a caution."""
RULE_GAP = 4.0


def strip_pieces(card: Card, sheet: Sheet, size: float, most: float) -> tuple[Piece, ...]:
    """Return the strip as one piece, or in rows where it is taller than `most` mm."""
    if not card.cautions:
        return ()
    size = strip_size(size)
    cautions = [piece for c in card.cautions for piece in _cut(c, size, sheet)]
    is_narrow, best = min(
        (
            _arranged(card, cautions, sheet, size, across, worn, beside)
            for across in range(1, min(4, len(cautions)) + 1)
            for worn in range(1, min(4, len(card.protection)) + 1 if card.protection else 2)
            for beside in (False, True)
        ),
        key=lambda made: (made[0], made[1].height),
    )
    if best.height <= most and not is_narrow:
        return (best,)
    _, worn = min(
        (
            _arranged(card, [], sheet, size, 1, worn, False)
            for worn in range(1, min(4, len(card.protection)) + 1 if card.protection else 2)
        ),
        key=lambda made: (made[0], made[1].height),
    )
    return (worn, *(_row_piece(caution, sheet, size) for caution in cautions))


def strip_size(size: float) -> float:
    """Return the size of a caution's words beside tasks of a size, in points."""
    return max(SMALLEST, min(LARGEST, size))


def _cut(caution: CardCaution, size: float, sheet: Sheet) -> list[CardCaution]:
    """Return a caution whole, or in several where no page of a large header holds it."""
    most = lines_in(sheet.height / 2, size)
    room = em_of(sheet.width - SYMBOL - SYMBOL_GAP, size)
    texts = in_pieces(" ".join(caution.texts), room, most)
    return [
        CardCaution(symbol=caution.symbol, title=caution.title, texts=(t,), tasks=caution.tasks)
        for t in texts
    ]


def _word_width(card: Card, sheet: Sheet, size: float) -> float:
    """Return the width of the widest word of protective equipment in mm."""
    words = [word for p in card.protection for word in p.word.split()]
    return (
        max((width_of(word, True) for word in words), default=0.0)
        * size
        * (1.0 if sheet.large else WORD)
        * PT_MM
    )


def _arranged(
    card: Card,
    cautions: list[CardCaution],
    sheet: Sheet,
    size: float,
    across: int,
    worn: int,
    beside: bool,
) -> tuple[bool, Piece]:
    """Return the strip with so many cautions and pieces of equipment side by side.

    And whether its columns are hard to read, which any other arrangement is better than.
    `beside`: the deferring sentence stands right of the cautions, not below them.
    """
    cell = SYMBOL + SYMBOL_GAP + _word_width(card, sheet, size) + 1.0
    worn_width = worn * cell + (worn - 1) * SYMBOL_GAP if card.protection else 0.0
    room = sheet.width - (worn_width + 2 * RULE_GAP if card.protection else 0.0)
    defer_width = DEFER_COLUMN if beside else room
    room -= DEFER_COLUMN + COLUMN_GAP if beside else 0.0
    width = (room - COLUMN_GAP * (across - 1)) / across
    heights, rows = [], []
    for start in range(0, len(cautions), across):
        row = [_caution(c, width, size) for c in cautions[start : start + across]]
        heights.append(max(height for height, _ in row))
        rows.append([data for _, data in row])
    defer = text_height(line_count(card.defer, em_of(defer_width, SMALLEST)), SMALLEST)
    left = sum(heights) + ROW_GAP * max(len(heights) - 1, 0)
    left = max(left, defer) if beside else left + DEFER_GAP + defer
    worn_rows = math.ceil(len(card.protection) / worn)
    right = worn_rows * SYMBOL + (worn_rows - 1) * ROW_GAP
    height = max(left, right) + STRIP_PAD + BELOW
    least = LEAST_COLUMN if cautions else LEAST_DEFER
    is_narrow = (across > 1 and width < least) or room < least
    data: dict[str, Any] = {
        "size": size,
        "width": width,
        "room": room,
        "cell": cell,
        "worn": worn,
        "worn_width": worn_width,
        "rows": rows,
        "heights": heights,
        "below": BELOW,
        "height": height - BELOW,
        "protection": [{"symbol": p.symbol, "word": p.word} for p in card.protection],
        "defer": card.defer,
        "defer_width": defer_width,
        "beside": beside,
    }
    return is_narrow, Piece(kind="strip", height=height, data=data)


def _row_piece(caution: CardCaution, sheet: Sheet, size: float) -> Piece:
    """Return one caution over the full width."""
    height, data = _caution(caution, sheet.width, size)
    strip = {
        "size": size,
        "width": sheet.width,
        "room": sheet.width,
        "cell": 0.0,
        "worn": 1,
        "worn_width": 0.0,
        "rows": [[data]],
        "heights": [height],
        "height": height + STRIP_PAD,
        "below": BELOW,
        "protection": [],
        "defer": "",
        "beside": False,
    }
    return Piece(kind="strip", height=height + STRIP_PAD + BELOW, data=strip)


def _caution(caution: CardCaution, width: float, size: float) -> tuple[float, dict[str, Any]]:
    """Return the height of a caution in mm, and what is set."""
    room = em_of(width - SYMBOL - SYMBOL_GAP, size)
    text = " ".join(caution.texts)
    lines = line_count(caution.title, room, True) + line_count(text, room)
    data = {
        "symbol": caution.symbol,
        "title": caution.title,
        "text": breakable(text, room),
    }
    return max(SYMBOL, text_height(lines, size)), data
