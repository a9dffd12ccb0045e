"""Checks as framed rows of their task: what and limit left, how and reaction right."""

from typing import Any

from stationflow.cards.card import Card, CardCheck
from stationflow.cards.lettering import PT_MM, breakable, in_pieces, line_count, text_height
from stationflow.cards.sheet import em_of
from stationflow.cards.task_columns import COLUMN_PAD, Columns

CHECK_PAD = 0.9
"""Room inside the frame above and below together, and below the frame, in em."""
CHECK_GAP = 0.35
CHECK_SYMBOL = 1.9
CHECK_SHARES = (0.5, 0.42, 0.58, 0.35, 0.65)
"""Shares of the width for what is checked, the rest for how and what if it fails."""
LONG_CHECK = 9
"""Lines of a field from which on a check is cut into several rows."""


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
    halves = _check_texts(card, check)

    def lines_for(share: float) -> int:
        widths = (room * share, room * (1 - share))
        return max(
            sum(line_count(text, width, bold) for text, bold in half)
            for half, width in zip(halves, widths, strict=True)
        )

    share = min(CHECK_SHARES, key=lines_for)
    em = size * PT_MM
    height = (
        max(text_height(lines_for(share), size), CHECK_SYMBOL * em) + (CHECK_PAD + CHECK_GAP) * em
    )
    left, right = (
        [{"text": breakable(text, width, bold), "bold": bold} for text, bold in half if text]
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


def cut_check(check: CardCheck, columns: Columns) -> list[CardCheck]:
    """Cut a check with long texts into several."""
    room = _check_room(columns, columns.text) * min(CHECK_SHARES)
    fields = ("text", "limit", "method", "frequency", "record", "reaction")
    cut = {name: in_pieces(getattr(check, name), room, LONG_CHECK, True) for name in fields}
    count = max(len(pieces) for pieces in cut.values())
    return [
        CardCheck(**{name: pieces[n] if n < len(pieces) else "" for name, pieces in cut.items()})
        for n in range(count)
    ]
