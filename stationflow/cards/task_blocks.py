"""The tasks of a card as blocks: heading, steps in columns, checks, pictures at the right."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import zip_longest
from typing import Any

from stationflow.cards.card import Card, CardCheck, CardPicture, CardStep, CardTask
from stationflow.cards.check_rows import check_row, cut_check
from stationflow.cards.lettering import (
    LEADING,
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    lines_in,
    shortened,
    text_height,
    width_of,
)
from stationflow.cards.sheet import Piece, Sheet, em_of
from stationflow.cards.task_columns import COLUMN_PAD, HEADS, NAME, Columns, column_heads
from stationflow.cards.task_pictures import arranged, shown_pictures

ROW_PAD = 0.5
"""Room above and below the text of a step together, in em."""
HEADING_PAD = 0.4
BLOCK_PAD = 0.85
"""Room above the heading of a task and below its block together, in em."""
LONG_NAME = 0.5
"""Share of a page from which on a task's name goes on below its heading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A step or a check, or a part of one that no page holds whole, before it is set."""

    number: str = ""
    texts: tuple[str, ...] = ("", "", "")
    time: str = ""
    check: CardCheck | None = None
    pictures: tuple[CardPicture, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TaskRows:
    """The rows of one task, from which whole blocks and parts of blocks are made.

    `page`: the height in mm that a page has for the rows of a task.
    """

    card: Card
    task: CardTask
    sheet: Sheet
    columns: Columns
    page: float
    known: dict[tuple[int, bool], tuple[float, dict[str, Any]]] = field(default_factory=dict)

    @cached_property
    def rows(self) -> tuple[_Row, ...]:
        """The rest of a long name, times of models in words, steps, checks; cut as they must be."""
        shown = shown_pictures(self.task)
        rows: list[_Row] = []
        times = _model_times(self.card, self.columns, self.task.model_times)
        for piece in (*self.name[1:], times):
            rows += self._step_rows(CardStep(number="", text=piece), ()) if piece else []
        for place, step in enumerate(self.task.steps):
            own = {step.number} if place else {step.number, str(self.task.number)}
            pictures = tuple(p for p in shown if p.number in own)
            rows += self._step_rows(step, pictures)
        for check in self.task.checks:
            cut = cut_check(self.card, check, self.columns, self._room)
            rows += (_Row(check=piece) for piece in cut)
        if not self.task.steps and rows:
            rows[0] = replace(rows[0], pictures=tuple(shown))
        return tuple(rows)

    @cached_property
    def name(self) -> list[str]:
        """The task's name as it stands in its heading, and what goes on below it."""
        most = lines_in(self.page * LONG_NAME, self.columns.size * NAME)
        return in_pieces(self.task.name, self._heading_room(True), most, True) or [""]

    @cached_property
    def _room(self) -> float:
        """The height in mm that a row has below the heading of its task on a page of its own."""
        pads = (BLOCK_PAD + ROW_PAD) * self.columns.size * PT_MM
        again = again_piece(self.card, self.task, self.columns).height
        return self.page - max(self._heading(True), again) - pads

    def _step_rows(self, step: CardStep, pictures: tuple[CardPicture, ...]) -> list[_Row]:
        """Return a step as one row, or as several where no page holds it."""
        columns = self.columns
        texts = (step.text, step.key_point, step.reason)
        row = _Row(number=step.number, texts=texts, time=step.time, pictures=pictures)
        if _step_row(self.card, row, columns, columns.texts_beside(True))[0] <= self._room:
            return [row]
        most = lines_in(self._room, columns.size) - 1
        cut = [
            in_pieces(text, em_of(width or columns.text, columns.size) - COLUMN_PAD, most)
            for text, width in zip(texts, columns.texts, strict=True)
        ]
        rows = [*zip_longest(*cut, fillvalue="")]
        if columns.is_stacked:
            below = [(at, piece) for at, pieces in enumerate(cut) for piece in pieces if piece]
            rows = [tuple(piece if n == at else "" for n in range(3)) for at, piece in below]
        first = replace(row, texts=rows[0])
        return [first, *(_Row(number=step.number, texts=texts) for texts in rows[1:])]

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
        above = heading if columns.is_stacked else 0.0
        beside = arranged(
            pictures,
            self.sheet,
            width=columns.pictures,
            height=columns.picture,
            beside=text - above,
            size=columns.size,
        )
        pad = BLOCK_PAD if start == 0 else 0.2
        height = max(text, above + beside.height) + pad * em
        return Piece(
            kind="task",
            height=height,
            data={
                "number": task.number,
                "note": heading_note(self.card, task),
                "name": breakable(self.name[0], self._heading_room(bool(pictures)), True),
                "time": task.time,
                "model_times": () if columns.is_stacked else task.model_times,
                "heading": start == 0,
                "heading_width": columns.heading(bool(pictures)),
                "widths": columns.texts_beside(bool(pictures)),
                "rows": [d for _, d in made if "cells" in d],
                "checks": [d for _, d in made if "left" in d],
                "pictures": beside.placed,
                "pictures_top": above + (0.6 if start == 0 else 0.2) * em,
                "height": height,
            },
        )

    def _heading_room(self, has_pictures: bool) -> float:
        """Return the width of a task's name in em of its own size."""
        columns = self.columns
        return (em_of(columns.heading(has_pictures), columns.size) - COLUMN_PAD) / NAME

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
                made = _step_row(self.card, row, self.columns, widths)
            self.known[key] = made
        return self.known[key]


def head_piece(card: Card, columns: Columns) -> Piece:
    """Return the row of column heads."""
    em = columns.size * PT_MM
    named = () if columns.is_stacked else card.models
    rooms = [
        em_of(width, columns.size) / columns.small - COLUMN_PAD for width in columns.times[:-1]
    ]
    heads = column_heads(card, columns)
    widths = [width for width in columns.texts if width]
    fields = [(em_of(width, columns.size) - COLUMN_PAD) / columns.small for width in widths]
    lines = max(
        1,
        *(line_count(m, room) for m, room in zip(named, rooms, strict=True)),
        *(line_count(h, room) for h, room in zip(heads, fields, strict=True)),
    )
    height = text_height(lines, columns.size * columns.small) + 0.5 * em
    models = [breakable(m, room) for m, room in zip(named, rooms, strict=True)]
    shown = [breakable(h, room) for h, room in zip(heads, fields, strict=True)]
    data = {"models": models, "heads": shown, "height": height}
    return Piece(kind="heads", height=height, data=data)


def again_piece(card: Card, task: CardTask, columns: Columns) -> Piece:
    """Return the heading of a task that goes on at the top of a page."""
    continued = card.say("continued")
    room = em_of(columns.text + columns.pictures, columns.size) - 2 - width_of(continued)
    height = text_height(1, columns.size) + 0.9 * columns.size * PT_MM
    data = {"number": str(task.number), "name": shortened(task.name, room, True)}
    data["continued"] = continued
    return Piece(kind="again", height=height, data=data)


def sum_piece(card: Card, columns: Columns) -> Piece:
    """Return the row with the work of the station."""
    em = columns.size * PT_MM
    height = text_height(1, columns.size * NAME) + 0.9 * em
    said = _model_times(card, columns, card.model_work)
    if said:
        room = em_of(columns.number + columns.text + columns.pictures, columns.size)
        height += text_height(line_count(said, room), columns.size) + LEADING * em
    work = () if columns.is_stacked else card.model_work
    return Piece(kind="sum", height=height, data={"said": said, "model_work": work})


def heading_note(card: Card, task: CardTask) -> str:
    """Return what stands behind a task's name: its number, and whether a machine does it."""
    phrase = "task {task}, machine time" if task.is_machine else "task {task}"
    return card.say(phrase, task=task.task)


def _model_times(card: Card, columns: Columns, times: tuple[str, ...]) -> str:
    """Return the times of models in words, where they have no columns."""
    if not columns.is_stacked:
        return ""
    return " · ".join(f"{m}: {t}" for m, t in zip(card.models, times, strict=False))


def _step_row(
    card: Card, row: _Row, columns: Columns, widths: tuple[float, ...]
) -> tuple[float, dict[str, Any]]:
    """Return the height of a row of a step, and what is set."""
    first = f"{row.texts[0]} ({row.time})" if row.time else row.texts[0]
    texts = (first, *row.texts[1:])
    rooms = [em_of(width, columns.size) - COLUMN_PAD for width in widths]
    if columns.is_stacked:
        heads = ("", *(card.say(head) for head in HEADS[1:]))
        named = [(head, text) for head, text in zip(heads, texts, strict=True) if text]
        lines = sum(line_count(f"{head} {text}".strip(), rooms[0]) for head, text in named)
        cells = [[(head, breakable(text, rooms[0])) for head, text in named]]
    else:
        used = [text for text, width in zip(texts, columns.texts, strict=True) if width]
        lines = max(line_count(text, room) for text, room in zip(used, rooms, strict=True))
        cells = [[("", breakable(text, room))] for text, room in zip(used, rooms, strict=True)]
    height = text_height(max(lines, 1), columns.size) + ROW_PAD * columns.size * PT_MM
    return height, {"number": row.number, "cells": cells}
