"""The columns of the task table: widths for one size of text and height of pictures."""

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
    times
        One for each model of the mix, and the time.
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


def columns_for(
    card: Card, sheet: Sheet, size: float, picture: float, side_by_side: bool
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
    room = sheet.width - number - sum(times) - pictures
    return Columns(
        size=size,
        small=sheet.small,
        picture=picture,
        number=number,
        texts=_text_widths(card, sheet, room, em),
        pictures=pictures,
        times=times,
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
        max(0.2 * room, (max(head, min(max(map(widest_word, texts)), 12)) + COLUMN_PAD) * em)
        if mass
        else 0.0
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
    return [card.say(word) for word, width in zip(HEADS, columns.texts, strict=True) if width]


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
