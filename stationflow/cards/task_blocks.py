"""The tasks of a card as blocks: heading, steps in columns, checks, pictures at the right."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from stationflow.cards.card import Card, CardCheck, CardPicture, CardStep, CardTask
from stationflow.cards.check_rows import check_row, cut_check
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    shortened,
    text_height,
    width_of,
)
from stationflow.cards.sheet import Piece, Sheet, em_of
from stationflow.cards.task_columns import COLUMN_PAD, NAME, Columns, column_heads
from stationflow.cards.task_pictures import arranged, shown_pictures

ROW_PAD = 0.5
"""Room above and below the text of a step together, in em."""
HEADING_PAD = 0.4
BLOCK_PAD = 0.85
"""Room above the heading of a task and below its block together, in em."""
LONG_NAME = 4
"""Lines of a task's name from which on it goes on below its heading."""
LONG_ROW = 9
"""Lines of a step from which on it is cut into rows, so that a page can end between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A step or a check, or a part of one, before it is set."""

    number: str = ""
    texts: tuple[str, str, str] = ("", "", "")
    time: str = ""
    check: CardCheck | None = None
    pictures: tuple[CardPicture, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TaskRows:
    """The rows of one task, from which whole blocks and parts of blocks are made."""

    card: Card
    task: CardTask
    sheet: Sheet
    columns: Columns
    known: dict[tuple[int, bool], tuple[float, dict[str, Any]]] = field(default_factory=dict)

    @cached_property
    def rows(self) -> tuple[_Row, ...]:
        """The rest of a long name, steps, then checks; long ones cut."""
        shown = shown_pictures(self.task)
        rows: list[_Row] = []
        for piece in self.name[1:]:
            rows += _step_rows(CardStep(number="", text=piece), (), self.columns)
        for place, step in enumerate(self.task.steps):
            own = {step.number} if place else {step.number, str(self.task.number)}
            pictures = tuple(p for p in shown if p.number in own)
            rows += _step_rows(step, pictures, self.columns)
        for check in self.task.checks:
            rows += (_Row(check=piece) for piece in cut_check(check, self.columns))
        if not self.task.steps and rows:
            rows[0] = replace(rows[0], pictures=tuple(shown))
        return tuple(rows)

    @cached_property
    def name(self) -> list[str]:
        """The task's name as it stands in its heading, and what goes on below it."""
        room = em_of(self.columns.text, self.columns.size) - COLUMN_PAD
        return in_pieces(self.task.name, room / NAME, LONG_NAME, True) or [""]

    def block(self, start: int, end: int) -> Piece:
        """Return the rows from `start` up to but not `end`, with the heading before the first."""
        task, columns = self.task, self.columns
        em = columns.size * PT_MM
        chosen = self.rows[start:end]
        pictures = [p for row in chosen for p in row.pictures]
        if not self.rows:
            pictures = shown_pictures(task)
        made = [self._made(n, bool(pictures)) for n in range(start, min(end, len(self.rows)))]
        heading = self._heading(bool(pictures)) if start == 0 else 0.0
        text = heading + sum(height for height, _ in made)
        beside = arranged(
            pictures,
            self.sheet,
            width=columns.pictures,
            height=columns.picture,
            beside=text,
            size=columns.size,
        )
        pad = BLOCK_PAD if start == 0 else 0.2
        height = max(text, beside.height) + pad * em
        return Piece(
            kind="task",
            height=height,
            data={
                "number": task.number,
                "note": heading_note(self.card, task),
                "name": breakable(self.name[0], self._heading_room(bool(pictures)), True),
                "time": task.time,
                "model_times": task.model_times,
                "heading": start == 0,
                "widths": columns.texts_beside(bool(pictures)),
                "rows": [d for _, d in made if "cells" in d],
                "checks": [d for _, d in made if "left" in d],
                "pictures": beside.placed,
                "height": height,
            },
        )

    def _heading_room(self, has_pictures: bool) -> float:
        """Return the width of a task's name in em of its own size."""
        columns = self.columns
        room = em_of(sum(columns.texts_beside(has_pictures)), columns.size) - COLUMN_PAD
        return room / NAME

    def _heading(self, has_pictures: bool) -> float:
        """Return the height of a task's heading in mm."""
        columns, name = self.columns, self.name[0]
        note = heading_note(self.card, self.task)
        words = width_of(name, True) * NAME + 0.6 + width_of(note) * columns.small
        room = self._heading_room(has_pictures)
        lines = 1 if words <= room * NAME else line_count(f"{name} {note}", room, True)
        return text_height(lines, columns.size * NAME) + HEADING_PAD * columns.size * PT_MM

    def _made(self, place: int, has_pictures: bool) -> tuple[float, dict[str, Any]]:
        """Return the height of a row and what is set, beside pictures or not."""
        key = (place, has_pictures)
        if key not in self.known:
            row = self.rows[place]
            widths = self.columns.texts_beside(has_pictures)
            if row.check is not None:
                made = check_row(self.card, row.check, self.columns, sum(widths))
            else:
                made = _step_row(row, self.columns, widths)
            self.known[key] = made
        return self.known[key]


def head_piece(card: Card, columns: Columns) -> Piece:
    """Return the row of column heads."""
    em = columns.size * PT_MM
    rooms = [
        em_of(width, columns.size) / columns.small - COLUMN_PAD for width in columns.times[:-1]
    ]
    heads = column_heads(card, columns)
    widths = [width for width in columns.texts if width]
    fields = [em_of(width, columns.size) / columns.small - COLUMN_PAD for width in widths]
    lines = max(
        1,
        *(line_count(m, room) for m, room in zip(card.models, rooms, strict=True)),
        *(line_count(h, room) for h, room in zip(heads, fields, strict=True)),
    )
    height = text_height(lines, columns.size * columns.small) + 0.5 * em
    models = [breakable(m, room) for m, room in zip(card.models, rooms, strict=True)]
    shown = [breakable(h, room) for h, room in zip(heads, fields, strict=True)]
    data = {"models": models, "heads": shown, "height": height}
    return Piece(kind="heads", height=height, data=data)


def again_piece(card: Card, task: CardTask, columns: Columns) -> Piece:
    """Return the heading of a task that goes on at the top of a page."""
    continued = card.say("continued")
    room = em_of(columns.text, columns.size) - 2 - width_of(continued)
    height = text_height(1, columns.size) + 0.9 * columns.size * PT_MM
    data = {"number": str(task.number), "name": shortened(task.name, room, True)}
    data["continued"] = continued
    return Piece(kind="again", height=height, data=data)


def sum_piece(columns: Columns) -> Piece:
    """Return the row with the work of the station."""
    height = text_height(1, columns.size * NAME) + 0.9 * columns.size * PT_MM
    return Piece(kind="sum", height=height)


def heading_note(card: Card, task: CardTask) -> str:
    """Return what stands behind a task's name: its number, and whether a machine does it."""
    phrase = "task {task}, machine time" if task.is_machine else "task {task}"
    return card.say(phrase, task=task.task)


def _step_rows(step: CardStep, pictures: tuple[CardPicture, ...], columns: Columns) -> list[_Row]:
    """Return a step as one row, or as several where its texts are long."""
    texts = (step.text, step.key_point, step.reason)
    cut = [
        in_pieces(text, em_of(width, columns.size) - COLUMN_PAD, LONG_ROW) if width else [""]
        for text, width in zip(texts, columns.texts, strict=True)
    ]
    count = max(len(pieces) for pieces in cut)
    filled = [pieces + [""] * (count - len(pieces)) for pieces in cut]
    rows = [_Row(texts=(filled[0][n], filled[1][n], filled[2][n])) for n in range(count)]
    rows[0] = _Row(number=step.number, texts=rows[0].texts, time=step.time, pictures=pictures)
    return rows


def _step_row(
    row: _Row, columns: Columns, widths: tuple[float, ...]
) -> tuple[float, dict[str, Any]]:
    """Return the height of a row of a step, and what is set."""
    first = f"{row.texts[0]} ({row.time})" if row.time else row.texts[0]
    used = [
        text for text, width in zip((first, *row.texts[1:]), columns.texts, strict=True) if width
    ]
    lines, cells = 1, []
    for text, width in zip(used, widths, strict=True):
        room = em_of(width, columns.size) - COLUMN_PAD
        lines = max(lines, line_count(text, room))
        cells.append(breakable(text, room))
    height = text_height(lines, columns.size) + ROW_PAD * columns.size * PT_MM
    return height, {"number": row.number, "cells": cells}
