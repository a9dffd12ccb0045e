"""The pictures of a task: how wide they are, and how they stand beside its text."""

import math
from dataclasses import dataclass
from typing import Any

from stationflow.cards.card import CardPicture, CardTask
from stationflow.cards.lettering import PT_MM, width_of
from stationflow.cards.sheet import Sheet

GAP = 1.6
"""Room beside and below a picture in mm."""
LEAST = 24.0
"""Height in mm that pictures keep however many there are, where they have the width."""
MOST_ACROSS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Pictures in place.

    Attributes
    ----------
    height
        Height of all with the room below, in mm.
    placed
        Place and size of each, in mm from the top left.
    """

    height: float
    placed: list[dict[str, Any]]


def shown_pictures(task: CardTask) -> list[CardPicture]:
    """Return the pictures of a task; one that is missing has a frame in its place."""
    return list(task.pictures)


def full_width(
    pictures: list[CardPicture], sheet: Sheet, height: float, size: float, side_by_side: bool
) -> float:
    """Return the width of one picture of the task, or of two, at a height, in mm."""
    widths = sorted(
        (sheet.ratio(p.picture) * height + _label(p, sheet, size) + GAP for p in pictures),
        reverse=True,
    )
    return sum(widths[: 2 if side_by_side else 1])


def arranged(
    pictures: list[CardPicture],
    sheet: Sheet,
    *,
    width: float,
    height: float,
    beside: float,
    size: float,
) -> Arrangement:
    """Return the arrangement with the largest pictures.

    Parameters
    ----------
    width
        Width for the pictures in mm.
    height
        Greatest height of a picture in mm.
    beside
        Height of the text they stand beside in mm: they may fill it without cost.
    """
    count = len(pictures)
    if not count:
        return Arrangement(height=0.0, placed=[])
    allowed = max(beside, height * max(1.0, 0.75 * math.ceil(count / 2)))
    choices = []
    for across in range(1, min(MOST_ACROSS, count) + 1):
        rows = [pictures[i : i + across] for i in range(0, count, across)]
        fitting = min(_fitting_height(row, sheet, width, size) for row in rows)
        share = allowed / len(rows) - GAP
        choices.append((min(height, fitting, max(share, LEAST)), -len(rows), rows))
    best, _, rows = max(choices, key=lambda choice: choice[:2])
    return _placed(rows, sheet, best, size)


def _label(picture: CardPicture, sheet: Sheet, size: float) -> float:
    """Return the room for a picture's number beside it, in mm."""
    return (width_of(picture.number, True) * sheet.small + 0.45) * size * PT_MM


def _fitting_height(row: list[CardPicture], sheet: Sheet, width: float, size: float) -> float:
    """Return the height at which a row of pictures is as wide as the room, in mm."""
    room = width - sum(_label(p, sheet, size) + GAP for p in row)
    return max(room, 1.0) / sum(sheet.ratio(p.picture) for p in row)


def _placed(rows: list[list[CardPicture]], sheet: Sheet, height: float, size: float) -> Arrangement:
    """Return the place of each picture."""
    placed, top = [], 0.0
    for row in rows:
        left = 0.0
        for picture in row:
            label = _label(picture, sheet, size)
            width = sheet.ratio(picture.picture) * height
            placed.append(
                {
                    "picture": picture.picture,
                    "number": picture.number,
                    "text": picture.text,
                    "missing": picture.missing,
                    "x": left,
                    "y": top,
                    "label": label,
                    "width": width,
                    "height": height,
                }
            )
            left += label + width + GAP
        top += height + GAP
    return Arrangement(height=top, placed=placed)
