"""Nothing on a printed card is torn: read from the pages of the PDF alone.

The words a card has to say come from its content; nothing here knows how pages are planned.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache, cached_property
from itertools import product as each_of
from pathlib import Path
from unicodedata import normalize

import pypdfium2
import pytest

import stationflow as sf
from stationflow.cards import Language, Paper, cards_pdf, station_cards
from stationflow.cards.card import Card
from stationflow.cards.words import phrases
from stationflow.files.source import read_source_file
from stationflow.model import BalanceSettings, Plan

DEMO = Path(__file__).parents[2] / "demo_products"
PRODUCTS = ("air_purifier", "control_cabinet", "desk_fan", "stand_mixer")
ENGLISH = set(phrases(Language.GERMAN))
LETTERS = re.compile(r"[^\W\d_\u0600-\u06ff]+(?!\w*\.\.\.)")
"""Words but shortened ones; Arabic ones come out of a PDF in pieces, as their letters join."""
ARABIC = re.compile(r"[\u0600-\u06ff\ufb50-\ufdff\ufe70-\ufeff]")
INVISIBLE = re.compile(r"[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069]+")
TOUCH = 0.5
"""Points by which boxes of text may overlap: letters lean out of their boxes."""


@cache
def read(name: str):
    """Return a demo product's file and the plan of each of its lines."""
    file = read_source_file(DEMO / name)
    plans = []
    for line in file.product.lines:
        takt = sf.line_pace(file.product, line.name).station_time_s
        method = "ranked-positional-weight"
        result = sf.balance_line(file.product, line=line.name, takt_s=takt, method=method)
        plans.append(
            Plan(product=file.product.code, settings=BalanceSettings(), result=result)
        )
    return file, plans


@cache
def cards_of(name: str, language: Language) -> tuple[Card, ...]:
    """Return the cards of all lines of a demo product."""
    file, plans = read(name)
    return tuple(
        card
        for plan in plans
        for card in station_cards(file.product, plan, version_label="version 7", language=language)[
            0
        ]
    )


class Pages:
    """What stands on the pages of a print."""

    def __init__(self, cards: Iterable[Card], pictures, **form) -> None:
        self.cards = tuple(cards)
        self.texts: list[str] = []
        self.boxes: list[list[tuple[float, float, float, float]]] = []
        for page in pypdfium2.PdfDocument(cards_pdf(self.cards, pictures, **form)):
            text = page.get_textpage()
            said = plain(text.get_text_range())
            self.texts.append(said if self.cards[0].language != "ar" else self.turned(said))
            boxes = [text.get_rect(n) for n in range(text.count_rects())]
            if self.cards[0].to_left:  # Arabic letters lean over each other
                boxes = [box for box in boxes if not ARABIC.search(text.get_text_bounded(*box))]
            self.boxes.append(boxes)

    @cached_property
    def words(self) -> set[str]:
        """All words the cards may say."""
        known = {*ENGLISH, *phrases(self.cards[0].language).values()}
        known.update(text for card in self.cards for text in said_words(card))
        return {word for text in known for word in LETTERS.findall(plain(text))}

    def turned(self, text: str) -> str:
        """Turn lines round that came out from right to left though their letters run otherwise."""

        def known(line: str) -> int:
            return sum(len(word) for word in LETTERS.findall(line) if word in self.words)

        return "\n".join(max(line, line[::-1], key=known) for line in text.splitlines())


def plain(text: str) -> str:
    """Return text as typed: a hyphen at a line's end comes out of a PDF as a sign of its own."""
    return normalize("NFKC", INVISIBLE.sub("", text.replace("\ufffe", "-")))


def flat(text: str) -> str:
    """Return text without its spaces and ends of lines."""
    return re.sub(r"\s+", "", plain(text))


def wholes(cards: Iterable[Card]) -> Iterator[tuple[str, ...]]:
    """Yield what has to stand together: each step, check and caution, as the texts it says."""
    for card in cards:
        for caution in card.cautions:
            yield (caution.title, *caution.texts)
        for task in card.tasks:
            for step in task.steps:
                yield (step.text, step.key_point, step.reason)
            for check in task.checks:
                yield (check.text, check.limit, check.method, check.record, check.reaction)


def torn(pages: Pages) -> list[tuple[str, ...]]:
    """Return what does not stand together on one page as often as the cards say it."""
    said = Counter(
        tuple(flat(text) for text in whole if not ARABIC.search(text))
        for whole in wholes(pages.cards)
    )
    found: Counter[tuple[str, ...]] = Counter()
    for text in map(flat, pages.texts):
        for whole in said:
            found[whole] += min((text.count(one) for one in whole if one), default=said[whole])
    return [whole for whole in said if found[whole] < said[whole]]


def said_words(value: object) -> Iterator[str]:
    """Yield all texts in the content of a card."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from said_words(one)
    elif is_dataclass(value):
        for field in fields(value):
            yield from said_words(getattr(value, field.name))


def broken(pages: Pages) -> set[str]:
    """Return runs of letters on the pages that are no word of the cards."""
    return {word for text in pages.texts for word in LETTERS.findall(text)} - pages.words


def overlapping(pages: Pages) -> list[tuple[int, str, str]]:
    """Return pairs of boxes of text that lie on each other."""
    found = []
    for number, boxes in enumerate(pages.boxes, start=1):
        rows = sorted(boxes)
        for place, (left, bottom, right, top) in enumerate(rows):
            for other in rows[place + 1 :]:
                if other[0] > right - TOUCH:
                    break
                if min(top, other[3]) - max(bottom, other[1]) > TOUCH and (
                    min(right, other[2]) - max(left, other[0]) > TOUCH
                ):
                    found.append((number, (left, bottom, right, top), other))
    return found
