"""The columns of the task table: widths for one size of text and height of pictures."""

from collections.abc import Iterator
from dataclasses import dataclass

from stationflow.cards.card import Card
from stationflow.cards.lettering import PT_MM, widest_word, width_of
from stationflow.cards.sheet import Sheet, em_of
from stationflow.cards.task_pictures import full_width, shown_pictures

HEADS = ("Important step", "Key point", "Reason")
"""Heads of the text columns, in English."""
NAME = 1.12
"""Size of a task's name and time against the text."""
COLUMN_PAD = 0.9
"""Room right of a column in em."""
LEAST_COLUMN = 8.0
"""Width of a column of text in em, on average, below which there are no columns side by side."""
MOST_FOR_PICTURES = 0.44
MOST_IN_LARGE_PRINT = 0.34
"""Shares of the width that pictures may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Widths of the columns of the task table in mm, for one size of text.

    Attributes
    ----------
    texts
        Important step, key point, reason; 0: nothing of the kind on this card.
        Narrow sheets have all three below each other in the first.
    times
        One for each model of the mix, and the time.
    is_stacked
        Whether what a task says stands below each other over the whole width, for words that
        are wider than columns side by side; the times of models are then said in words.
    small
        Size of column heads and notes against the text.
    picture
        Greatest height of a picture.
    """

    size: float
    small: float
    picture: float
    number: float
    texts: tuple[float, float, float]
    pictures: float
    times: tuple[float, ...]
    is_stacked: bool

    def texts_beside(self, has_pictures: bool) -> tuple[float, ...]:
        """Return the widths of the text columns in use; the last takes the room of no pictures."""
        used = [width for width in self.texts if width]
        if not has_pictures:
            used[-1] += self.pictures
        return tuple(used)

    @property
    def text(self) -> float:
        """Width of the text columns together."""
        return sum(self.texts)

    def heading(self, has_pictures: bool) -> float:
        """Return the width of a task's name, left of its times and, side by side, its pictures."""
        if self.is_stacked:
            return self.text + self.pictures - sum(self.times)
        return sum(self.texts_beside(has_pictures))


def columns_for(
    card: Card, sheet: Sheet, size: float, picture: float, side_by_side: bool, is_stacked: bool
) -> Columns:
    """Return the columns of a card's tasks for a size of text and height of pictures.

    `side_by_side`: two pictures of a task have room beside each other at their full height.
    """
    em = size * PT_MM
    steps = [step.number for task in card.tasks for step in task.steps]
    number = max([2.2, *(width_of(n, True) + 0.7 for n in steps)]) * em
    times = _time_widths(card, sheet, em)
    needed = max(
        (
            full_width(shown_pictures(task), sheet, picture, size, side_by_side)
            for task in card.tasks
        ),
        default=0.0,
    )
    most = MOST_IN_LARGE_PRINT if sheet.large else MOST_FOR_PICTURES
    pictures = min(needed, sheet.width * most)
    if is_stacked:
        times = times[-1:]
        widest = max(widest_word(text) for text in ("", *_said(card))) + COLUMN_PAD
        room = sheet.width - number
        pictures = max(min(pictures, room - widest * em), 0.0)
    else:
        room = sheet.width - number - sum(times)
    room -= pictures
    return Columns(
        size=size,
        small=sheet.small,
        picture=picture,
        number=number,
        texts=(room, 0.0, 0.0) if is_stacked else _text_widths(card, sheet, room, em),
        pictures=pictures,
        times=times,
        is_stacked=is_stacked,
    )


def _time_widths(card: Card, sheet: Sheet, em: float) -> tuple[float, ...]:
    """Return the widths of the time columns: models, then the time with its unit."""
    words = [f"{task.time} {card.unit}" for task in card.tasks] + [f"{card.work} {card.unit}"]
    last = max(width_of(w, True) * NAME for w in words)
    last = max(last, width_of(card.say("Time")) * sheet.small) + COLUMN_PAD
    models = []
    for place, name in enumerate(card.models):
        shown = [task.model_times[place] for task in card.tasks] + [card.model_work[place]]
        widest = max(width_of(w, True) for w in shown)
        models.append(max(widest, widest_word(name) * sheet.small, 3.2) + COLUMN_PAD)
    return tuple(w * em for w in (*models, last))


def _text_widths(card: Card, sheet: Sheet, room: float, em: float) -> tuple[float, float, float]:
    """Share the room among the text columns, by how much text stands in each."""
    steps = [step for task in card.tasks for step in task.steps]
    columns = ([s.text for s in steps], [s.key_point for s in steps], [s.reason for s in steps])
    masses = [sum(min(width_of(t), 150.0) for t in texts) for texts in columns]
    if not sum(masses):
        return (room, 0.0, 0.0)
    heads = [widest_word(card.say(head)) * sheet.small for head in HEADS]
    least = [
        max(0.2 * room, (max(head, *map(widest_word, texts)) + COLUMN_PAD) * em) if mass else 0.0
        for mass, texts, head in zip(masses, columns, heads, strict=True)
    ]
    if sum(least) > room:
        least = [width * room / sum(least) for width in least]
    free, total = room - sum(least), sum(masses)
    shares = [low + free * mass / total for low, mass in zip(least, masses, strict=True)]
    return (shares[0], shares[1], shares[2])


def column_heads(card: Card, columns: Columns) -> list[str]:
    """Return the heads of the text columns in use."""
    if not any(task.steps for task in card.tasks):
        return [card.say("Task")]
    if columns.is_stacked:
        return [card.say(HEADS[0])]
    return [card.say(word) for word, width in zip(HEADS, columns.texts, strict=True) if width]


def is_broken(card: Card, columns: Columns) -> bool:
    """Return whether a word of the tasks, or of the heads, has to be broken in these columns."""
    heads = column_heads(card, columns)
    used = [at for at, width in enumerate(columns.texts) if width]
    for head, at in zip(heads, used, strict=True):
        steps = [step for task in card.tasks for step in task.steps]
        texts = [(step.text, step.key_point, step.reason)[at] for step in steps]
        texts = [*_said(card)] if columns.is_stacked else texts
        widest = max(widest_word(head) * columns.small, *map(widest_word, ("", *texts)))
        if widest > em_of(columns.texts[at], columns.size) - COLUMN_PAD:
            return True
    room = em_of(columns.heading(True), columns.size) - COLUMN_PAD
    return any(widest_word(task.name, True) * NAME > room for task in card.tasks)


def is_narrow(columns: Columns) -> bool:
    """Return whether columns side by side hold a word or two a line: hard to read."""
    used = sum(width > 0 for width in columns.texts)
    return used > 1 and em_of(columns.text, columns.size) < LEAST_COLUMN * used


def _said(card: Card) -> Iterator[str]:
    """Yield the texts of all steps and checks."""
    for task in card.tasks:
        for step in task.steps:
            yield from (step.text, step.key_point, step.reason)
