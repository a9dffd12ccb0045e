"""How cards fill their pages. Expected numbers are requirements or worked out by hand."""

import math
import re
from functools import cache
from pathlib import Path

import pypdfium2
import pytest
from sample_station import TASKS, fan, pictures, plan_of

import stationflow as sf
from stationflow.cards import Paper, cards_pdf, station_cards
from stationflow.cards.layout import card_layout
from stationflow.cards.lettering import (
    breakable,
    in_pieces,
    line_count,
    shortened,
    text_height,
    width_of,
)
from stationflow.cards.safety_strip import SYMBOL
from stationflow.cards.sheet import sheet_for
from stationflow.files.source import read_source_file
from stationflow.model import Plan

DEMO = Path(__file__).parents[2] / "demo_products"


@cache
def demo_cards(name):
    """Return the cards of a demo product's main line, and its pictures."""
    file = read_source_file(DEMO / name)
    pace = sf.line_pace(file.product, "main")
    result = sf.balance_line(
        file.product, limit_s=pace.station_time_s, method="ranked-positional-weight"
    )
    plan = Plan(product=file.product.code, result=result)
    return station_cards(file.product, plan, version_label="version 7")[0], dict(file.pictures)


def page_numbers(pdf):
    """Return for each page its number and how many its card has."""
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]
    return [tuple(map(int, re.search(r"Page (\d+) of (\d+)", text).groups())) for text in pages]


@cache
def demo_pages(name, paper=Paper.A4, portrait=False):
    cards, shown = demo_cards(name)
    return page_numbers(cards_pdf(cards, shown, paper=paper, portrait=portrait))


def test_a_station_of_three_tasks_with_pictures_takes_one_page():
    product = fan()
    cards, _ = station_cards(product, plan_of(product, ("010", "020", "040")), version_label="1")
    assert page_numbers(cards_pdf(cards, pictures())) == [(1, 1)]


def test_no_card_of_the_air_purifier_takes_more_than_two_pages():
    assert max(of for _, of in demo_pages("air_purifier")) <= 2


def test_three_task_stations_of_the_air_purifier_take_one_page():
    cards, shown = demo_cards("air_purifier")
    three = [card for card in cards if len(card.tasks) == 3]
    assert set(page_numbers(cards_pdf(three, shown))) == {(1, 1)}


@pytest.mark.parametrize("name", ["air_purifier", "desk_fan", "stand_mixer", "control_cabinet"])
@pytest.mark.parametrize("portrait", [True, False])
@pytest.mark.parametrize("paper", list(Paper))
def test_no_page_runs_over(name, paper, portrait):
    # A page that runs over leaves a page without header and footer, or breaks the count.
    pages = demo_pages(name, paper, portrait)
    starts = [n for n, (page, _) in enumerate(pages) if page == 1]
    planned = [(n, pages[s][1]) for s in starts for n in range(1, pages[s][1] + 1)]
    assert pages == planned


def test_pictures_are_at_least_24_mm_tall():
    cards, shown = demo_cards("air_purifier")
    sheet = sheet_for(Paper.A4, False, dict.fromkeys(shown, 4 / 3))
    pieces = [
        p for card in cards for page in card_layout(card, sheet)["pages"] for p in page["pieces"]
    ]
    heights = [picture["height"] for p in pieces for picture in p.get("pictures", ())]
    assert min(heights) >= 24


def test_text_is_between_9_and_14_points():
    cards, shown = demo_cards("air_purifier")
    sheet = sheet_for(Paper.A4, False, dict.fromkeys(shown, 4 / 3))
    sizes = [card_layout(card, sheet)["size"] for card in cards]
    assert (min(sizes) >= 9, max(sizes) <= 14) == (True, True)


def test_a_station_with_one_task_has_the_largest_text():
    product = fan(tasks=TASKS[:1])
    cards, _ = station_cards(product, plan_of(product, ("010",)), version_label="1")
    assert card_layout(cards[0], sheet_for(Paper.A4, False, {}))["size"] == 14


def test_symbols_are_larger_than_8_mm():
    assert SYMBOL >= 8  # the size the symbols were drawn to be legible at


def test_the_page_after_the_first_has_tasks_or_parts_and_not_the_bar_alone():
    cards, _ = demo_cards("control_cabinet")
    sheet = sheet_for(Paper.A4, False, {})
    kinds = [
        {p["kind"] for p in page["pieces"]}
        for card in cards
        for page in card_layout(card, sheet)["pages"][1:]
    ]
    assert all("task" in kind for kind in kinds)


# Noto Sans has 1000 units to the em: the letter H is 741 wide, the space 260 (font tables,
# from memory); widths are taken 1 % larger.
@pytest.mark.parametrize(("text", "units"), [("H", 741), (" ", 260), ("HHH", 2223)])
def test_widths_are_those_of_the_font(text, units):
    assert math.isclose(width_of(text), units / 1000 * 1.01, rel_tol=0.002)


def test_words_fill_a_line_before_the_next_begins():
    # Each "HH" is 1.50 em and the space 0.26: two and a space take 3.26 em.
    assert [line_count("HH HH HH", width) for width in (1.6, 3.3, 5.1)] == [3, 2, 1]


def test_line_ends_count():
    assert line_count("a\nb\n\nc", 10) == 4


def test_two_lines_are_as_tall_as_two_lines_and_the_room_between():
    assert text_height(2, 72) == pytest.approx(25.4 * (0.95 + 0.28 + 0.95))


def test_a_word_wider_than_its_column_may_break_anywhere():
    assert breakable("a HHHH", 2).count("\u200b") == 3


def test_text_in_pieces_loses_no_word():
    words = " ".join(f"word{n}" for n in range(90))
    assert " ".join(in_pieces(words, 10, 3)).split() == words.split()


def test_shortened_text_fits():
    assert width_of(shortened("W" * 50, 8), False) <= 8
