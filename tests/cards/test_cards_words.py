"""Fixed words, languages, directions, fonts. Expected values are worked out by hand."""

import io
import re
from functools import cache
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from arabic_station import arabic_cards
from sample_station import fan, fan_plan, pictures

from stationflow.cards import (
    Language,
    cards_html,
    cards_pdf,
    cards_workbook,
    check_cards,
    station_cards,
)
from stationflow.cards import fonts as card_fonts
from stationflow.cards.fonts import families_of, font_of, missing_characters
from stationflow.cards.marks import LEFT_TO_RIGHT, marked
from stationflow.cards.printing import HERE
from stationflow.cards.words import is_right_to_left, language_of, phrases, say
from stationflow.model import DEFER, HAZARD_ADVICE, Product

FURTHER = [language for language in Language if language != Language.ENGLISH]
SAID = re.compile(r'\bsay\(\s*(?:[a-z_.]*language,\s*)?"([^"]+)"')


def card_in(language):
    product = fan()
    return station_cards(product, fan_plan(product), version_label="version 7", language=language)[
        0
    ][0]


def words_of(pdf):
    pages = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_bounded() for page in pages)


@pytest.mark.parametrize("language", FURTHER)
def test_every_language_has_the_same_phrases(language):
    assert set(phrases(language)) == set(phrases(Language.GERMAN))


@pytest.mark.parametrize("language", FURTHER)
def test_every_language_has_the_whole_catalogue_of_hazards(language):
    wanted = {DEFER}
    for advice in HAZARD_ADVICE.values():
        wanted |= {advice.title, advice.caution, *advice.protection}
    assert wanted - set(phrases(language)) == set()


@pytest.mark.parametrize("language", FURTHER)
def test_every_phrase_keeps_its_places_for_values(language):
    def places(text):
        return sorted(re.findall(r"{\w+}", text))

    assert [p for p, own in phrases(language).items() if places(p) != places(own)] == []


def test_every_phrase_said_by_the_cards_is_in_the_tables():
    sources = [path.read_text("utf-8") for path in HERE.rglob("*.py")]
    said = {phrase for source in sources for phrase in SAID.findall(source)}
    assert said - set(phrases(Language.GERMAN)) - set(Language) == set()


def test_a_value_with_braces_is_put_in_as_it_is():
    assert say("en", "Check: {text}", text="{limit} ok") == "Check: {limit} ok"


def test_arabic_letters_choose_arabic_words():
    assert language_of(["ضع اللوح", "FN-110"]) == Language.ARABIC


def test_german_text_stays_with_english_words_until_german_is_chosen():
    assert language_of(["Größe prüfen"]) == Language.ENGLISH


@pytest.mark.parametrize(
    ("text", "expected"), [("שים את הלוח", True), ("ضع اللوح 12", True), ("Put 12 א", False)]
)
def test_the_direction_is_that_of_most_letters(text, expected):
    assert is_right_to_left([text]) is expected


def test_the_header_speaks_the_chosen_language():
    assert card_in(Language.GERMAN).facts[0].name == "Taktzeit"


def test_cautions_of_the_catalogue_are_translated():
    assert card_in(Language.SPANISH).cautions[0].title == "Bordes cortantes"


def test_the_engineers_words_are_never_translated():
    assert card_in(Language.FRENCH).tasks[0].name == "Place base plate in jig"


def test_the_code_holds_the_same_in_every_language():
    codes = {card_in(language).code.content for language in Language}
    assert codes == {"product FAN-20; line main; station 1; version 7"}


@pytest.mark.parametrize("language", FURTHER)
def test_cards_of_every_language_print_their_words(language):
    flat = re.sub(r"\s+", "", words_of(cards_pdf([card_in(language)], pictures())))
    if language == Language.ARABIC:  # letters of a PDF may come out in their joined forms
        assert len(flat) > 500
    else:
        assert say(language, "Work of this station").replace(" ", "") in flat


def test_values_keep_their_order_in_lines_from_the_right():
    assert marked("عزم 1.2 Nm") == f"عزم {LEFT_TO_RIGHT}1.2 Nm"


def test_lines_from_the_left_are_left_alone():
    assert marked("torque 1.2 Nm") == "torque 1.2 Nm"


@pytest.mark.fonts
def test_arabic_words_come_back_from_the_pdf_in_logical_order():
    text = words_of(cards_pdf(arabic_cards(), pictures()))
    assert "المحرك" in text


@cache
def arabic_letters():
    """Return every letter of the Arabic card with its base line and left edge, in points."""
    text = pypdfium2.PdfDocument(cards_pdf(arabic_cards(), pictures()))[0].get_textpage()
    letters = []
    for n in range(text.count_chars()):
        left, bottom, *_ = text.get_charbox(n, loose=True)
        letters.append((bottom, left, text.get_text_range(n, 1)))
    return letters


def as_seen():
    """Return the lines of the Arabic card as the eye meets them from left to right."""
    lines, last = [], -9.0
    for bottom, left, letter in sorted(arabic_letters()):
        if bottom - last > 1.5:
            lines.append([])
        lines[-1].append((left, letter))
        last = bottom
    return "\n".join("".join(c for _, c in sorted(line)) for line in lines)


@pytest.mark.fonts
@pytest.mark.parametrize("code", ["SC-4012", "K-A1", "J-07", "1.2Nm", "0.10ohm", "64.8s"])
def test_codes_and_values_read_from_left_to_right_on_an_arabic_card(code):
    assert code in re.sub(r"[^\w.\n-]", "", as_seen())


@pytest.mark.fonts
def test_the_station_stands_at_the_right_of_an_arabic_card():
    word = say(Language.ARABIC, "STATION")
    top = max(bottom for bottom, _, letter in arabic_letters() if letter == word[-1])
    lefts = [
        left
        for bottom, left, letter in arabic_letters()
        if abs(bottom - top) < 1 and letter in word
    ]
    assert min(lefts) > 297 / 25.4 * 72 * 0.8


def test_characters_of_our_own_font_need_no_other():
    assert families_of("Aß Ω Ж") == ("Noto Sans",)


def test_a_missing_character_is_named_with_its_text(monkeypatch):
    monkeypatch.setattr("stationflow.cards.fonts.font_of", lambda character: None)
    product = Product(code="X", name="Fan \u597d")
    named = [f for f in check_cards(product) if f.code == "glyph-missing"]
    assert "Fan \u597d" in named[0].message


def test_a_font_of_the_folder_is_taken_first(monkeypatch, tmp_path):
    other = font_of("א")
    if other is None:  # no Hebrew font on this machine: nothing to compare
        assert missing_characters("א") == "א"
        return
    copied = tmp_path / "own.ttf"
    copied.write_bytes(Path(other.path).read_bytes())
    monkeypatch.setenv("STATIONFLOW_FONTS", str(tmp_path))
    assert font_of("א").path == str(copied)


def test_a_folder_that_is_not_there_changes_nothing(monkeypatch):
    monkeypatch.setenv("STATIONFLOW_FONTS", "/nowhere/at/all")
    assert card_fonts.extra_folder() == ""


def cards_in(language):
    return station_cards(fan(), fan_plan(), version_label="1", language=language)[0]


# Decimal marks by the use of each language: comma in Germany, France and Spain, point in English
# and, with these digits, in Arabic (Unicode CLDR, from memory).
@pytest.mark.parametrize(
    ("language", "time", "length"),
    [
        (Language.ENGLISH, "12.9 s", "0.35 m"),
        (Language.GERMAN, "12,9 s", "0,35 m"),
        (Language.FRENCH, "12,9 s", "0,35 m"),
        (Language.SPANISH, "12,9 s", "0,35 m"),
        (Language.ARABIC, "12.9 s", "0.35 m"),
    ],
)
def test_times_and_quantities_have_the_decimal_mark_of(language, time, length):
    page = cards_html(cards_in(language), {}).decode().replace("\u200e", "")
    assert (time in page, length in page) == (True, True)


def test_a_card_in_german_has_no_point_in_a_number_but_in_what_was_typed():
    # typed: the setting 1.2 Nm and the limit 0.10 ohm; 1.1 and so on are the numbers of steps
    cards = cards_in(Language.GERMAN)
    body = cards_html(cards, {}).decode().partition("<body>")[2]
    said = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", body, flags=re.DOTALL)
    steps = {step.number for card in cards for task in card.tasks for step in task.steps}
    assert set(re.findall(r"\b\d+\.\d+\b", said)) == {"1.2", "0.10", *steps}


def test_times_in_a_german_workbook_are_numbers():
    read = openpyxl.load_workbook(io.BytesIO(cards_workbook(cards_in(Language.GERMAN), {})))
    numbers = {c.value for row in read["Station 1"].iter_rows() for c in row if c.data_type == "n"}
    assert 12.9 in numbers
