"""The tasks of a card as blocks: heading, steps in columns, checks, pictures at the right."""

from dataclasses import dataclass
from typing import Any

from stationflow.cards.card import Card, CardCheck, CardPicture, CardTask
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    text_height,
    widest_word,
    width_of,
)
from stationflow.cards.sheet import Piece, Sheet, em_of

NAME = 1.12
"""Size of a task's name and time against the text."""
SMALL = 0.8
ROW_PAD = 0.5
"""Room in a row of steps above and below the text, in em; COLUMN_PAD beside it."""
COLUMN_PAD = 0.9
BLOCK_PAD = 0.85
CHECK_PAD = 0.9
CHECK_GAP = 0.35
CHECK_SYMBOL = 1.9
CHECK_SHARES = (0.5, 0.42, 0.58, 0.35, 0.65)
"""Shares of the width for what is checked, the rest for how and what if it fails."""
PICTURE_GAP = 1.6
MOST_FOR_PICTURES = 0.44
"""Share of the width that pictures may take."""
LONG_ROW = 9
"""Lines of a step from which on it may be cut at the end of a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Widths of the columns of the task table in mm, for one size of text.

    Attributes
    ----------
    texts
        Important step, key point, reason; 0: nothing of the kind on this card.
    times
        One for each model of the mix, and the time.
    picture
        Greatest height of a picture.
    """

    size: float
    picture: float
    number: float
    texts: tuple[float, float, float]
    pictures: float
    times: tuple[float, ...]

    @property
    def text(self) -> float:
        """Width of the text columns together."""
        return sum(self.texts)


def columns_for(card: Card, sheet: Sheet, size: float, picture: float) -> Columns:
    """Return the columns of a card's tasks for a size of text and height of pictures."""
    em = size * PT_MM
    steps = [step.number for task in card.tasks for step in task.steps]
    number = max([2.2, *(width_of(n, True) + 0.7 for n in steps)]) * em
    times = _time_widths(card, em)
    needed = max(
        (_picture_width(_shown(task, sheet), sheet, picture, size) for task in card.tasks),
        default=0.0,
    )
    pictures = min(needed, sheet.width * MOST_FOR_PICTURES)
    room = sheet.width - number - sum(times) - pictures
    return Columns(
        size=size,
        picture=picture,
        number=number,
        texts=_text_widths(card, room, em),
        pictures=pictures,
        times=times,
    )


def _time_widths(card: Card, em: float) -> tuple[float, ...]:
    """Return the widths of the time columns: models, then the time with its unit."""
    words = [f"{task.time} {card.unit}" for task in card.tasks] + [f"{card.work} {card.unit}"]
    last = max(width_of(w, True) * NAME for w in words) + COLUMN_PAD
    models = []
    for place, name in enumerate(card.models):
        shown = [task.model_times[place] for task in card.tasks] + [card.model_work[place]]
        widest = max(width_of(w, True) for w in shown)
        models.append(max(widest, widest_word(name) * SMALL, 3.2) + COLUMN_PAD)
    return tuple(w * em for w in (*models, last))


def _text_widths(card: Card, room: float, em: float) -> tuple[float, float, float]:
    """Share the room among the text columns, by how much text stands in each."""
    steps = [step for task in card.tasks for step in task.steps]
    columns = ([s.text for s in steps], [s.key_point for s in steps], [s.reason for s in steps])
    masses = [sum(min(width_of(t), 150.0) for t in texts) for texts in columns]
    if not sum(masses):
        return (room, 0.0, 0.0)
    least = [
        max(0.2 * room, (min(max(map(widest_word, texts)), 12) + COLUMN_PAD) * em) if mass else 0.0
        for mass, texts in zip(masses, columns, strict=True)
    ]
    if sum(least) > room:
        least = [width * room / sum(least) for width in least]
    free, total = room - sum(least), sum(masses)
    shares = [low + free * mass / total for low, mass in zip(least, masses, strict=True)]
    return (shares[0], shares[1], shares[2])


def is_broken(card: Card, columns: Columns) -> bool:
    """Return whether a word of the steps has to be broken in these columns."""
    for task in card.tasks:
        for step in task.steps:
            texts = (step.text, step.key_point, step.reason)
            for text, width in zip(texts, columns.texts, strict=True):
                room = em_of(width, columns.size) - COLUMN_PAD
                if text and room < widest_word(text) < 20:
                    return True
    return False


# ---------------------------------------------------------------- pictures


def _shown(task: CardTask, sheet: Sheet) -> list[CardPicture]:
    """Return the pictures of a task that can be printed."""
    return [picture for picture in task.pictures if picture.picture in sheet.ratios]


def _rows(pictures: list[CardPicture]) -> list[list[CardPicture]]:
    """Return pictures in rows: two side by side, three where there are many."""
    across = 1 if len(pictures) == 1 else 2 if len(pictures) <= 4 else 3
    return [pictures[i : i + across] for i in range(0, len(pictures), across)]


def _row_limit(rows: int, height: float) -> float:
    """Return the greatest height of pictures in one of several rows."""
    return height if rows == 1 else height * 0.72


def _label_width(picture: CardPicture, size: float) -> float:
    """Return the room for a picture's number beside it, in mm."""
    return (width_of(picture.number, True) * SMALL + 0.45) * size * PT_MM


def _picture_width(pictures: list[CardPicture], sheet: Sheet, height: float, size: float) -> float:
    """Return the width the pictures of a task take at a height, in mm."""
    rows = _rows(pictures)
    limit = _row_limit(len(rows), height)
    return max(
        (
            sum(sheet.ratios[p.picture] * limit + _label_width(p, size) + PICTURE_GAP for p in row)
            for row in rows
        ),
        default=0.0,
    )


def _placed(
    pictures: list[CardPicture], sheet: Sheet, columns: Columns
) -> tuple[float, list[dict[str, Any]]]:
    """Return the height pictures take, and where each of them stands."""
    rows = _rows(pictures)
    limit = _row_limit(len(rows), columns.picture)
    placed, top = [], 0.0
    for row in rows:
        labels = [_label_width(p, columns.size) for p in row]
        room = columns.pictures - sum(labels) - PICTURE_GAP * len(row)
        height = min(limit, room / sum(sheet.ratios[p.picture] for p in row))
        left = 0.0
        for picture, label in zip(row, labels, strict=True):
            width = sheet.ratios[picture.picture] * height
            placed.append(
                {
                    "picture": picture.picture,
                    "number": picture.number,
                    "text": picture.text,
                    "x": left,
                    "y": top,
                    "label": label,
                    "width": width,
                    "height": height,
                }
            )
            left += label + width + PICTURE_GAP
        top += height + PICTURE_GAP
    return top, placed


# ---------------------------------------------------------------- blocks


def head_piece(card: Card, columns: Columns) -> Piece:
    """Return the row of column heads."""
    room = [em_of(w, columns.size) / SMALL for w in columns.times[:-1]]
    lines = max([1, *(line_count(m, w) for m, w in zip(card.models, room, strict=True))])
    em = columns.size * PT_MM
    return Piece(kind="heads", height=text_height(lines, columns.size * SMALL) + 0.4 * em)


def task_piece(card: Card, task: CardTask, sheet: Sheet, columns: Columns) -> Piece:
    """Return the block of one task, and its parts for when a page is too short."""
    em = columns.size * PT_MM
    pictures, placed = _placed(_shown(task, sheet), sheet, columns)
    heading = _heading(task, columns)
    rows = [
        _step_row(s.number, (s.text, s.key_point, s.reason), s.time, columns) for s in task.steps
    ]
    checks = [_check_row(check, columns) for check in task.checks]
    height = BLOCK_PAD * em + max(
        heading + sum(h for h, _ in rows) + sum(h for h, _ in checks),
        pictures if placed else 0.0,
    )
    data = _block(task, [r for _, r in rows], [c for _, c in checks], placed, height, columns)
    return Piece(kind="task", height=height, data=data)


def _block(
    task: CardTask,
    rows: list[dict[str, Any]],
    checks: list[dict[str, Any]],
    pictures: list[dict[str, Any]],
    height: float,
    columns: Columns,
) -> dict[str, Any]:
    """Return what the template sets for a block."""
    del columns
    return {
        "number": task.number,
        "task": task.task,
        "name": task.name,
        "time": task.time,
        "model_times": task.model_times,
        "is_machine": task.is_machine,
        "rows": rows,
        "checks": checks,
        "pictures": pictures,
        "height": height,
        "continued": False,
        "heading": True,
    }


def task_parts(card: Card, task: CardTask, sheet: Sheet, columns: Columns) -> tuple[Piece, ...]:
    """Return a task step by step: each with its own pictures, the first with the heading."""
    shown = _shown(task, sheet)
    em = columns.size * PT_MM
    cut = [
        (step, texts, first)
        for step in task.steps
        for first, texts in _cut_step((step.text, step.key_point, step.reason), columns)
    ]
    pieces: list[Piece] = []
    heading = _heading(task, columns)
    for place, (step, texts, first) in enumerate(cut):
        numbers = ({step.number} if first else set()) | ({str(task.number)} if not place else set())
        height, row = _step_row(
            step.number if first else "", texts, step.time if first else "", columns
        )
        own = [p for p in shown if p.number in numbers]
        tall, placed = _placed(own, sheet, columns)
        top = 0.0 if place else BLOCK_PAD * em + heading
        total = max(top + height, (tall + (0 if place else BLOCK_PAD * em)) if placed else 0.0)
        data = {**_block(task, [row], [], placed, total, columns), "heading": not place}
        pieces.append(Piece(kind="task", height=total, data=data))
    if not cut:
        tall, placed = _placed(shown, sheet, columns)
        total = max(heading, tall) + BLOCK_PAD * em
        pieces.append(
            Piece(kind="task", height=total, data=_block(task, [], [], placed, total, columns))
        )
    for check in task.checks:
        for piece in _cut_check(check, columns):
            height, row = _check_row(piece, columns)
            data = {**_block(task, [], [row], [], height, columns), "heading": False}
            pieces.append(Piece(kind="task", height=height, data=data))
    return tuple(pieces)


def _heading(task: CardTask, columns: Columns) -> float:
    """Return the height of a task's heading in mm."""
    note = "task " + task.task + (", machine time" if task.is_machine else "")
    words = width_of(task.name, True) * NAME + 0.6 + width_of(note) * SMALL
    room = em_of(columns.text, columns.size) - COLUMN_PAD
    if words <= room:
        return text_height(1, columns.size * NAME) + 0.4 * columns.size * PT_MM
    lines = line_count(f"{task.name} {note}", room / NAME, True)
    return text_height(lines, columns.size * NAME) + 0.4 * columns.size * PT_MM


def _step_row(
    number: str, texts: tuple[str, ...], time: str, columns: Columns
) -> tuple[float, dict[str, Any]]:
    """Return the height of a row of a step, and the row."""
    said = (f"{texts[0]} ({time})" if time else texts[0], *texts[1:])
    lines, cells = 1, []
    for text, width in zip(said, columns.texts, strict=True):
        room = em_of(width, columns.size) - COLUMN_PAD
        if width:
            lines = max(lines, line_count(text, room))
            cells.append(breakable(text, room))
    height = text_height(lines, columns.size) + ROW_PAD * columns.size * PT_MM
    return height, {"number": number, "cells": cells}


def _cut_step(
    texts: tuple[str, str, str], columns: Columns
) -> list[tuple[bool, tuple[str, str, str]]]:
    """Cut the texts of a step into rows that are not too long; mark the first."""
    cut = [
        in_pieces(text, em_of(width, columns.size) - COLUMN_PAD, LONG_ROW) if width else [""]
        for text, width in zip(texts, columns.texts, strict=True)
    ]
    rows = max(len(pieces) for pieces in cut)
    filled = [pieces + [""] * (rows - len(pieces)) for pieces in cut]
    return [(n == 0, (filled[0][n], filled[1][n], filled[2][n])) for n in range(rows)]


# ---------------------------------------------------------------- checks


def _check_room(columns: Columns) -> float:
    """Return the width of both halves of a check together, in em of its text."""
    inside = em_of(columns.number + columns.text, columns.size) - COLUMN_PAD
    return inside - 1.2 - CHECK_SYMBOL - 0.8 - 1.0


def _check_texts(check: CardCheck) -> tuple[list[tuple[str, bool]], list[tuple[str, bool]]]:
    """Return the two halves of a check as lines of text, bold or not."""
    how = [check.method, check.frequency, f"record: {check.record}" if check.record else ""]
    left = [(f"Check: {check.text}", True)]
    if check.limit:
        left.append((f"Limit: {check.limit}", True))
    right = [(" · ".join(word for word in how if word), False)]
    if check.reaction:
        right.append((f"If it fails: {check.reaction}", True))
    return left, right


def _check_row(check: CardCheck, columns: Columns) -> tuple[float, dict[str, Any]]:
    """Return the height of a check's frame with the room below it, and its content."""
    room = _check_room(columns)
    size = columns.size
    halves = _check_texts(check)

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
        "height": height - CHECK_GAP * em,
    }
    return height, row


def _cut_check(check: CardCheck, columns: Columns) -> list[CardCheck]:
    """Cut a check with long texts into several."""
    room = _check_room(columns) * min(CHECK_SHARES)
    fields = ("text", "limit", "method", "frequency", "record", "reaction")
    cut = {name: in_pieces(getattr(check, name), room, LONG_ROW, True) for name in fields}
    count = max(len(pieces) for pieces in cut.values())
    return [
        CardCheck(**{name: pieces[n] if n < len(pieces) else "" for name, pieces in cut.items()})
        for n in range(count)
    ]


def sum_piece(columns: Columns) -> Piece:
    """Return the row with the work of the station."""
    em = columns.size * PT_MM
    return Piece(kind="sum", height=text_height(1, columns.size * NAME) + 0.9 * em)
