"""Nothing on a printed card is torn: read from the pages of the PDF alone.

The words a card has to say come from its content; nothing here knows how pages are planned.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from itertools import combinations
from itertools import product as each_of
from pathlib import Path
from unicodedata import normalize

import pypdfium2
import pytest
from sample_station import TASKS, fan, plan_of

import stationflow as sf
from stationflow.cards import Language, Paper, cards_pdf, station_cards
from stationflow.cards.card import Card
from stationflow.cards.words import phrases
from stationflow.files.source import read_source_file
from stationflow.model import Caution, Check, Hazard, Plan, Step

DEMO = Path(__file__).parents[2] / "demo_products"
PRODUCTS = ("air_purifier", "control_cabinet", "desk_fan", "stand_mixer")
ENGLISH = set(phrases(Language.GERMAN))
LETTERS = re.compile(r"(?<!\.\.\.)(?<![^\W\d_])[^\W\d_\u0600-\u06ff]+(?!\w*\.\.\.)")
"""Words but shortened ones; Arabic ones come out of a PDF in pieces, as their letters join."""
ARABIC = re.compile(r"[\u0600-\u06ff\ufb50-\ufdff\ufe70-\ufeff]")
NO_LETTER = re.compile(r"[\W_\u0600-\u06ff]+")
INVISIBLE = re.compile(r"[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069]+")
TOUCH = 1.5
"""Points by which boxes of text may overlap: letters lean out of their boxes."""
Box = tuple[float, float, float, float]


@cache
def read(name: str):
    """Return a demo product's file and the plan of each of its lines."""
    file = read_source_file(DEMO / name)
    plans = []
    for line in file.product.made_lines:
        takt = sf.line_pace(file.product, line.name).station_time_s
        method = "ranked-positional-weight"
        result = sf.balance_line(file.product, line=line.name, limit_s=takt, method=method)
        plans.append(Plan(product=file.product.code, result=result))
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
        self.to_left = self.cards[0].to_left
        self.words: set[str] = set()
        self.texts: list[str] = []
        self.boxes: list[list[Box]] = []
        for page in pypdfium2.PdfDocument(cards_pdf(self.cards, pictures, **form)):
            text = page.get_textpage()
            said = text.get_text_range()
            self.words.update(LETTERS.findall(plain(said)))
            self.texts.append(flat(in_order(said, text) if self.to_left else said))
            boxes = [text.get_rect(n) for n in range(text.count_rects())]
            if self.to_left:  # Arabic letters lean over each other
                boxes = [box for box in boxes if not ARABIC.search(text.get_text_bounded(*box))]
            self.boxes.append(boxes)


def in_order(said: str, text) -> str:
    """Return the text of a page with Latin letters from left to right.

    On a page read from right to left they come out line by line in an order of their own.
    Each line is read by the places of its letters, from gap to gap, gaps being wider than spaces.
    Two lines come out as one where a hyphen ends the first: they are read from the top.
    """
    lines, place = [], 0
    for line in said.split("\n"):
        boxes = [
            (text.get_charbox(place + n, loose=True), n, c)
            for n, c in enumerate(line)
            if not c.isspace()
        ]
        place += len(line) + 1
        height = max((top - bottom for (_, bottom, _, top), _, _ in boxes), default=0.0)
        row: list[tuple[Box, int, str]] = []
        for letter in sorted(boxes, key=lambda letter: -letter[0][1]):
            if row and row[-1][0][1] - letter[0][1] > 0.5 * height:
                lines += runs_of(row, height)
                row = []
            row.append(letter)
        lines += runs_of(row, height)
    return "\n".join(lines)


def runs_of(row: list[tuple[Box, int, str]], height: float) -> list[str]:
    """Return the runs of letters between gaps of a row, in the order they came out."""
    runs: list[list[tuple[int, str]]] = []
    right = None
    for box, n, character in sorted(row):
        if right is None or box[0] - right > 0.45 * height:
            runs.append([])
        runs[-1].append((n, character))
        right = max(box[2], right or box[2])
    return ["".join(c for _, c in run) for run in sorted(runs, key=min)]


def plain(text: str) -> str:
    """Return text as typed: a hyphen at a line's end comes out of a PDF as a sign of its own."""
    return normalize("NFKC", INVISIBLE.sub("", text.replace("\ufffe", "-")))


def flat(text: str) -> str:
    """Return the letters and digits of text, without spaces, signs and Arabic letters."""
    return NO_LETTER.sub("", plain(text))


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
    said = Counter(tuple(filter(None, map(flat, whole))) for whole in wholes(pages.cards))
    found: Counter[tuple[str, ...]] = Counter()
    for text in pages.texts:
        found.update({whole: min(map(text.count, whole), default=said[()]) for whole in said})
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
    known = {*ENGLISH, *phrases(pages.cards[0].language).values()}
    known.update(text for card in pages.cards for text in said_words(card))
    words = {word for text in known for word in LETTERS.findall(plain(text))}
    return pages.words - words


def overlapping(pages: Pages) -> list[tuple[int, Box, Box]]:
    """Return pairs of boxes of text that lie on each other, with the number of their page."""
    return [
        (number, one, other)
        for number, boxes in enumerate(pages.boxes, start=1)
        for one, other in combinations(boxes, 2)
        if is_over(one, other) and not (pages.to_left and is_within(one, other))
    ]


def is_over(one: Box, other: Box) -> bool:
    """Return whether two boxes overlap by more than letters do that stand beside each other."""
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > TOUCH
        and min(one[3], other[3]) - max(one[1], other[1]) > TOUCH
    )


def is_within(one: Box, other: Box) -> bool:
    """Return whether one box holds the other: so come numbers out of lines read to the left."""
    around = (*map(min, one[:2], other[:2]), *map(max, one[2:], other[2:]))
    return any(
        all(abs(a - b) < TOUCH for a, b in zip(box, around, strict=True)) for box in (one, other)
    )


def printed(name: str, language: Language, **form) -> Pages:
    """Return the pages of all cards of a demo product."""
    return Pages(cards_of(name, language), dict(read(name)[0].pictures), **form)


FORMS = [
    {"paper": paper, "portrait": portrait, "large_print": large}
    for paper, portrait, large in each_of(Paper, (False, True), (False, True))
]
SAMPLE = [
    (Language.ENGLISH, {"paper": Paper.A4, "portrait": True, "large_print": True}),
    (Language.FRENCH, {"paper": Paper.LETTER, "portrait": False, "large_print": True}),
    (Language.GERMAN, {"paper": Paper.LETTER, "portrait": True, "large_print": False}),
    (Language.ARABIC, {"paper": Paper.A4, "portrait": True, "large_print": True}),
    (Language.SPANISH, {"paper": Paper.A3, "portrait": False, "large_print": False}),
    (Language.GERMAN, {"paper": Paper.A4, "portrait": True, "large_print": True}),
]


@cache
def sample(name: str, place: int) -> Pages:
    language, form = SAMPLE[place]
    return printed(name, language, **form)


sampled = pytest.mark.parametrize(
    "place",
    [
        pytest.param(place, marks=pytest.mark.fonts if language == Language.ARABIC else ())
        for place, (language, _) in enumerate(SAMPLE)
    ],
)
every_product = pytest.mark.parametrize("name", PRODUCTS)


@every_product
@sampled
def test_steps_checks_and_cautions_stand_whole_on_a_page(name, place):
    assert torn(sample(name, place)) == []


@every_product
@sampled
def test_no_word_is_broken(name, place):
    assert broken(sample(name, place)) == set()


@every_product
@sampled
def test_no_text_lies_on_another(name, place):
    assert overlapping(sample(name, place)) == []


@pytest.mark.campaign
@every_product
@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("form", FORMS, ids=lambda form: "-".join(map(str, form.values())))
def test_every_print_is_whole(name, language, form):
    pages = printed(name, language, **form)
    assert (torn(pages), broken(pages), overlapping(pages)) == ([], set(), [])


def sentences(count: int) -> str:
    return " ".join(f"Sentence {n} says where the hands have to be." for n in range(count))


@pytest.mark.parametrize("field", ["step", "check", "caution"])
def test_what_no_page_holds_goes_on_behind_a_sentence(field):
    # 120 sentences of 44 letters: more than a large upright page of about 30 lines of 30 letters.
    words = sentences(120)
    more = {
        "step": {"steps": (Step(text=words),)},
        "check": {"checks": (Check(text="Hands are free", reaction=words),)},
        "caution": {"cautions": (Caution(hazard=Hazard.SHARP, text=words),)},
    }[field]
    product = fan(tasks=(replace(TASKS[0], **more),))
    cards, _ = station_cards(product, plan_of(product, ("010",)), version_label="1")
    pages = Pages(cards, {}, portrait=True, large_print=True)
    whole = [flat(sentence + ".") for sentence in words[:-1].split(". ")]
    assert [s for s in whole if not any(s in text for text in pages.texts)] == []
