"""Checks as framed rows of their task: what and limit left, how and reaction right."""

from itertools import zip_longest
from typing import Any

from stationflow.cards.card import Card, CardCheck
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    lines_in,
    shortened,
    text_height,
    widest_word,
)
from stationflow.cards.sheet import em_of
from stationflow.cards.task_columns import COLUMN_PAD, Columns

CHECK_PAD = 0.9
"""Room inside the frame above and below together, and below the frame, in em."""
CHECK_GAP = 0.35
CHECK_SYMBOL = 1.9
CHECK_SHARES = (0.5, 0.42, 0.58, 0.35, 0.65)
"""Shares of the width for what is checked, the rest for how and what if it fails."""
LEAST_HALF = 8.0
"""Width in em of a half below which both halves stand below each other."""


def _check_room(columns: Columns, text_width: float) -> float:
    """Return the width of both halves of a check together, in em of its text."""
    inside = em_of(columns.number + text_width, columns.size) - COLUMN_PAD
    return inside - 1.2 - CHECK_SYMBOL - 0.8 - 1.0


def _check_texts(
    card: Card, check: CardCheck
) -> tuple[list[tuple[str, bool]], list[tuple[str, bool]]]:
    """Return the two halves of a check as lines of text, bold or not."""
    how = [
        check.method,
        check.frequency,
        card.say("record: {where}", where=check.record) if check.record else "",
    ]
    left = [(card.say("Check: {text}", text=check.text), True)]
    if check.limit:
        left.append((card.say("Limit: {limit}", limit=check.limit), True))
    right = [(" · ".join(word for word in how if word), False)]
    if check.reaction:
        right.append((card.say("If it fails: {reaction}", reaction=check.reaction), True))
    return left, right


def check_row(
    card: Card, check: CardCheck, columns: Columns, text_width: float
) -> tuple[float, dict[str, Any]]:
    """Return the height of a check's frame with the room below it, and its content."""
    room = _check_room(columns, text_width)
    size = columns.size
    halves = [[line for line in half if line[0]] for half in _check_texts(card, check)]

    def lines_for(share: float) -> int:
        widths = (room * share, room * (1 - share))
        return max(
            sum(line_count(text, width, bold) for text, bold in half)
            for half, width in zip(halves, widths, strict=True)
        )

    def is_wide(share: float) -> bool:
        widths = (room * share, room * (1 - share))
        return min(widths) >= LEAST_HALF and all(
            widest_word(text, bold) <= width
            for half, width in zip(halves, widths, strict=True)
            for text, bold in half
        )

    shares = [share for share in CHECK_SHARES if is_wide(share)]
    if not shares:
        room += 1.0  # no gap between halves
        halves = [[line for half in halves for line in half], []]
    share = min(shares, key=lines_for, default=1.0)
    em = size * PT_MM
    height = (
        max(text_height(lines_for(share), size), CHECK_SYMBOL * em) + (CHECK_PAD + CHECK_GAP) * em
    )
    left, right = (
        [{"text": breakable(text, width, bold), "bold": bold} for text, bold in half]
        for half, width in zip(halves, (room * share, room * (1 - share)), strict=True)
    )
    row = {
        "left": left,
        "right": right,
        "left_width": room * share,
        "width": columns.number + text_width,
        "height": height - CHECK_GAP * em,
    }
    return height, row


def cut_check(card: Card, check: CardCheck, columns: Columns, most: float) -> list[CardCheck]:
    """Return a check whole, or cut where it is taller than `most` mm; each piece says what of."""
    width = sum(columns.texts_beside(True))
    if check_row(card, check, columns, width)[0] <= most:
        return [check]
    room = _check_room(columns, width) * min(CHECK_SHARES)
    lines = max(1, (lines_in(most, columns.size) - 2) // 4)
    names = ("text", "limit", "method", "frequency", "record", "reaction")
    cut = [in_pieces(getattr(check, name), room, lines, True) for name in names]
    about = shortened(check.text, room, True)
    rows = [dict(zip(names, texts, strict=True)) for texts in zip_longest(*cut, fillvalue="")]
    return [CardCheck(**{**row, "text": row["text"] or about}) for row in rows]
