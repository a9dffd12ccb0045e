"""Texts that are too much for a card, or no text at all: shortened or cleaned, and told."""

import io
import re
import zipfile
from dataclasses import replace

import openpyxl
import pypdfium2
import pytest
from sample_station import TASKS, fan, plan_of

from stationflow.cards import cards_html, cards_pdf, cards_workbook, station_cards
from stationflow.cards.code import card_code
from stationflow.cards.settable import settable
from stationflow.model import Check, Step
from stationflow.model.size_limits import LONGEST_CODE


def made(**task):
    """Return the card of one task, and what was found."""
    product = fan(tasks=(replace(TASKS[0], **task),))
    return station_cards(product, plan_of(product, ("010",)), version_label="1")


def step(text):
    return made(steps=(Step(text=text),))


@pytest.mark.parametrize(
    ("text", "shown", "code"),
    [
        ("Fit the cover", "Fit the cover", ""),
        ("Größe 4 µm, 漢字", "Größe 4 µm, 漢字", ""),
        ("two\r\nlines", "two\nlines", ""),
        ("a\tb", "a b", "text-cleaned"),
        ("a\x00b\x1b[31mc", "a\ufffdb\ufffd[31mc", "text-cleaned"),
        ("a\ud800b", "a\ufffdb", "text-cleaned"),
        ("\u202eab", "ab", "text-cleaned"),
        ("a" + "\u0301" * 3000, "a" + "\u0301" * 8 + "…", "text-shortened"),
        ("a" + "\u0301" * 20, "a" + "\u0301" * 8, "text-cleaned"),
        ("a" * 501, "a" * 499 + "…", "text-shortened"),
        ("\n" * 400 + "a", "a", ""),
        ("a\n\n\nb", "a\nb", ""),
        ("a\n" * 240, "a\n" * 199 + "a…", "text-shortened"),
    ],
)
def test_a_text_is_shown_as(text, shown, code):
    assert settable(text, 500) == (shown, code)


def test_what_was_changed_names_the_task_and_the_length():
    _, findings = made(name="N" * 30_000)
    assert [(f.code, f.where, "30,000 characters" in f.message) for f in findings] == [
        ("text-shortened", "Task 010", True)
    ]


@pytest.mark.parametrize("field", ["name", "steps", "checks"])
def test_a_card_of_3000_marks_has_eight_of_them(field):
    text = "a" + "\u0301" * 3000
    said = {"name": text, "steps": (Step(text=text),), "checks": (Check(text=text, limit="1"),)}
    cards, _ = made(**{field: said[field]})
    assert repr(cards).count("\u0301") == 8


def test_5000_empty_lines_take_one_page():
    cards, _ = step("Fit" + "\n" * 5000 + "the cover")
    assert len(pypdfium2.PdfDocument(cards_pdf(cards, {}))) == 1


def test_a_name_of_30000_letters_takes_one_page():
    cards, _ = made(name="N" * 30_000)
    assert len(pypdfium2.PdfDocument(cards_pdf(cards, {}))) == 1


def test_a_sentence_without_end_is_cut_between_words():
    # 1,190 words of one check: more than a page, no sentence to cut behind.
    cards, _ = made(checks=(Check(text="word " * 1190, limit="1"),))
    pages = pypdfium2.PdfDocument(cards_pdf(cards, {}))
    said = " ".join(page.get_textpage().get_text_bounded() for page in pages)
    assert len(re.findall(r"\bword\b", said)) == 1190


def test_a_workbook_of_control_characters_can_be_read():
    cards, _ = step("a\x00b\x07\x0b")
    content = cards_workbook(cards, {})
    shown = openpyxl.load_workbook(io.BytesIO(content))["Station 1"]
    texts = [str(c.value) for row in shown.iter_rows() for c in row]
    assert any("a\ufffdb\ufffd" in text for text in texts)
    parts = zipfile.ZipFile(io.BytesIO(content))
    assert not re.search(rb"_x00[01]", b"".join(parts.read(name) for name in parts.namelist()))


ADDRESS = "http://example.test/a www.example.test"


def test_addresses_are_no_links():
    product = replace(fan(tasks=(replace(TASKS[0], name=ADDRESS),)), name=ADDRESS)
    cards, _ = station_cards(product, plan_of(product, ("010",)), version_label="1")
    book = zipfile.ZipFile(io.BytesIO(cards_workbook(cards, {})))
    outside = [n for n in book.namelist() if b'"External"' in book.read(n)]
    assert (b"/URI" in cards_pdf(cards, {}), outside) == (False, [])
    assert not re.search(rb'href="(?!#)', cards_html(cards, {}))


@pytest.mark.parametrize("address", ["", "http://plant.test", "http://plant.test/" + "x" * 900])
def test_a_code_holds_no_more_than_a_telephone_reads(address):
    code = card_code(
        address=address, product="漢" * 3000, line="main", station=3, version_label="version 7"
    )
    assert (len(code.content.encode()) <= LONGEST_CODE, code.is_shortened) == (True, True)


def test_a_shortened_code_is_told():
    product = replace(fan(), code="P" * 3000)
    _, findings = station_cards(product, plan_of(product, ("010",)), version_label="1")
    assert "code-shortened" in {f.code for f in findings}
