"""Which sheet suits the cards of a line. Expected numbers are counted on the print itself."""

import pytest
from sample_station import fan, fan_plan
from test_cards_pages import page_numbers
from test_cards_whole import read

from stationflow.cards import Paper, cards_pdf, layouts, station_cards
from stationflow.errors import CardError


def line_of(name):
    """Return the cards of the first line of a demo product, and its pictures."""
    file, plans = read(name)
    cards, _ = station_cards(file.product, plans[0], version_label="1")
    return cards, dict(file.pictures)


@pytest.mark.parametrize("name", ["desk_fan", "stand_mixer"])
def test_cards_on_one_page_are_counted_as_they_print(name):
    cards, pictures = line_of(name)
    for way in layouts(cards, pictures):
        pdf = cards_pdf(cards, pictures, paper=way.paper, portrait=way.portrait)
        numbers = page_numbers(pdf)
        assert (way.on_one_page, way.pages) == (numbers.count((1, 1)), len(numbers))


@pytest.mark.parametrize("name", ["air_purifier", "desk_fan", "stand_mixer"])
def test_the_demo_products_are_printed_upright(name):
    # Counted before: across 18 of 20, 4 of 5 and 12 of 13 took one page, upright all.
    best = layouts(*line_of(name))[0]
    assert (best.paper, best.portrait, best.on_one_page) == (Paper.A4, True, best.looked_at)


def test_what_is_given_is_kept():
    ways = layouts(*line_of("desk_fan"), paper=Paper.LETTER, portrait=False)
    assert [(way.paper, way.portrait) for way in ways] == [(Paper.LETTER, False)]


def test_a3_is_not_looked_at_where_a4_holds_most():
    assert {way.paper for way in layouts(*line_of("stand_mixer"))} == {Paper.A4}


def test_a_large_print_stays_on_a4():
    cards, _ = station_cards(fan(), fan_plan(), version_label="1")
    assert {way.paper for way in layouts(cards, {}, large_print=True)} == {Paper.A4}


def test_no_cards_have_no_layout():
    with pytest.raises(CardError):
        layouts((), {})
