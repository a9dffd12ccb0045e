"""How cards fill their pages, read from the print. Expected numbers are requirements."""

import ctypes
import re
from dataclasses import replace
from functools import cache

import pypdfium2
import pypdfium2.raw as raw
import pytest
from sample_station import TASKS, fan, long_task, pictures, plan_of
from test_cards_whole import PRODUCTS, cards_of, read

from stationflow.cards import Language, Paper, cards_pdf, station_cards
from stationflow.model import Step

MM = 72 / 25.4


@cache
def demo(name, paper=Paper.A4, portrait=False, large_print=False):
    """Return the print of all cards of a demo product."""
    cards = cards_of(name, Language.ENGLISH)
    form = {"paper": paper, "portrait": portrait, "large_print": large_print}
    return cards_pdf(cards, dict(read(name)[0].pictures), **form)


def texts(pdf):
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]


def page_numbers(pdf):
    """Return for each page its number and how many its card has."""
    return [tuple(map(int, re.search(r"Page (\d+) of (\d+)", t).groups())) for t in texts(pdf)]


def sizes_of(pdf, *texts):
    """Return the sizes in points of some texts, wherever they begin."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        printed = page.get_textpage()
        shown = "".join(printed.get_text_bounded().split())
        for words in (each for each in texts if "".join(each.split()) in shown):
            searcher = printed.search(words)
            while place := searcher.get_next():
                matrix = raw.FS_MATRIX()
                raw.FPDFText_GetMatrix(printed.raw, place[0], ctypes.byref(matrix))
                size = raw.FPDFText_GetFontSize(printed.raw, place[0])
                found.append(round(size * matrix.a, 1))
    return found


def shapes(pdf, kind):
    """Return width and height in points of all objects of a kind."""
    return [
        (right - left, top - bottom)
        for page in pypdfium2.PdfDocument(pdf)
        for left, bottom, right, top in (
            shown.get_bounds() for shown in page.get_objects(filter=[kind], max_depth=5)
        )
    ]


def printed(*stations, tasks=TASKS, **form):
    product = fan(tasks=tasks)
    cards, _ = station_cards(product, plan_of(product, *stations), version_label="1")
    return cards_pdf(cards, pictures(), **form)


def test_a_station_of_three_tasks_with_pictures_takes_one_page():
    assert page_numbers(printed(("010", "020", "040"))) == [(1, 1)]


def test_no_card_of_the_air_purifier_takes_more_than_two_pages():
    assert max(of for _, of in page_numbers(demo("air_purifier"))) <= 2


def test_three_task_stations_of_the_air_purifier_take_one_page():
    cards = [c for c in cards_of("air_purifier", Language.ENGLISH) if len(c.tasks) == 3]
    pdf = cards_pdf(cards, dict(read("air_purifier")[0].pictures))
    assert set(page_numbers(pdf)) == {(1, 1)}


@pytest.mark.parametrize("name", PRODUCTS)
@pytest.mark.parametrize("portrait", [True, False])
@pytest.mark.parametrize("paper", list(Paper))
def test_no_page_runs_over(name, paper, portrait):
    # A page that runs over leaves a page without header and footer, or breaks the count.
    pages = page_numbers(demo(name, paper, portrait))
    starts = [n for n, (page, _) in enumerate(pages) if page == 1]
    planned = [(n, pages[s][1]) for s in starts for n in range(1, pages[s][1] + 1)]
    assert pages == planned


def test_pictures_are_at_least_24_mm_tall():
    heights = [height for _, height in shapes(demo("air_purifier"), raw.FPDF_PAGEOBJ_IMAGE)]
    assert min(heights) >= 24 * MM - 0.1


def test_pictures_grow_into_the_white_of_the_page():
    # One task on a page of its own: its two pictures have 44 % of 281 mm together, so that each
    # can be 60 mm wide, and 40 mm tall at 3 : 2.
    heights = [height for _, height in shapes(printed(("010",)), raw.FPDF_PAGEOBJ_IMAGE)]
    assert min(heights) >= 40 * MM


def test_text_is_between_9_and_14_points():
    cards = cards_of("air_purifier", Language.ENGLISH)
    steps = {s.text[:20] for c in cards for t in c.tasks for s in t.steps}
    sizes = sizes_of(demo("air_purifier"), *steps)
    assert (min(sizes) >= 9, max(sizes) <= 14) == (True, True)


def test_a_station_with_one_task_has_the_largest_text():
    assert sizes_of(printed(("010",), tasks=TASKS[:1]), "Take a base plate") == [14]


def test_stations_that_can_have_the_same_size_of_text():
    # Alone the last station has 14 points; here it has what the two before it can hold.
    pdf = printed(("040", "050", "060"), ("240", "250", "260"), ("070",), tasks=FULL_TWICE)
    sizes = {*sizes_of(pdf, "Lower the motor"), *sizes_of(pdf, "Close the flaps")}
    assert (len(sizes), max(sizes) < 14) == (1, True)


FULL = TASKS[3:6]
FULL_TWICE = (
    *FULL,
    *(replace(task, number=f"2{task.number[1:]}", predecessors=()) for task in FULL),
    replace(TASKS[0], number="070", steps=(Step(text="Close the flaps"),)),
)


def sizes_of_cards(name, portrait):
    """Return for each line of a demo product the size of the first step of each card."""
    file, plans = read(name)
    for plan in plans:
        cards, _ = station_cards(file.product, plan, version_label="1", language=Language.ENGLISH)
        pdf = cards_pdf(cards, dict(file.pictures), portrait=portrait)
        words = [next((s.text[:25] for t in c.tasks for s in t.steps), None) for c in cards]
        yield [sizes_of(pdf, one)[0] for one in words if one]


@pytest.mark.parametrize("portrait", [True, False])
@pytest.mark.parametrize("name", ["air_purifier", "desk_fan", "stand_mixer"])
def test_the_cards_of_a_line_have_one_size_of_text(name, portrait):
    # A card that cannot hold the size of the line has a smaller one: at most one in three here.
    for sizes in sizes_of_cards(name, portrait):
        common = max(sizes, key=sizes.count)
        assert (max(sizes), 3 * sizes.count(common) >= 2 * len(sizes)) == (common, True)


@pytest.mark.parametrize("name", ["desk_fan", "stand_mixer"])
def test_words_in_pictures_are_as_tall_as_small_print(name):
    # The smallest torque in the pictures is 31 of 800 pixels tall: 5 points where a picture is
    # 46 mm wide (46 mm x 31 / 800 = 1.78 mm; 5 points are 1.76 mm).
    widths = [w for w, _ in shapes(demo(name, portrait=True), raw.FPDF_PAGEOBJ_IMAGE)]
    assert min(widths) >= 46 * MM


def test_one_station_is_printed_as_it_is_among_the_others():
    stations = ("010", "020", "030"), ("040",), ("050", "060")
    among = sizes_of(printed(*stations), "Lower the motor")
    assert sizes_of(printed(*stations, stations=[2]), "Lower the motor") == among


def test_symbols_are_larger_than_8_mm():
    # The size the symbols were drawn to be legible at; the eye protection is a full circle.
    assert max(height for _, height in shapes(printed(("010",)), raw.FPDF_PAGEOBJ_PATH)) >= 8 * MM


def test_every_page_after_the_first_has_tasks_and_not_the_bar_alone():
    later = [t for t in texts(demo("control_cabinet")) if not re.search(r"Page 1 of", t)]
    assert [t for t in later if not re.search(r"task \w?\d", t)] == []


def test_a_task_that_goes_on_is_named_again():
    pages = texts(printed(("900",), tasks=(long_task(40),)))
    assert ["Wire the control box" in page for page in pages] == [True] * len(pages)


@pytest.mark.parametrize("name", PRODUCTS)
def test_the_last_page_of_a_large_print_has_a_task(name):
    # "Important step" stands above the tasks of a page; a place where units wait has no work.
    pdf = demo(name, portrait=True, large_print=True)
    last = [t for t in texts(pdf) if re.search(r"Page (\d+) of \1\b", t)]
    worked = [text for text in last if not re.search(r"Work\s+0\.0 s", text)]
    assert [text for text in worked if "Important step" not in text] == []


@pytest.mark.parametrize("name", PRODUCTS)
def test_the_name_of_the_product_stands_whole_beside_the_mark_of_a_large_print(name):
    card = replace(cards_of(name, Language.ENGLISH)[0], mark="DRAFT")
    pictures = dict(read(name)[0].pictures)
    first = texts(cards_pdf((card,), pictures, portrait=True, large_print=True))[0]
    assert read(name)[0].product.name in " ".join(first.split())


def test_a_check_below_the_pictures_of_a_large_print_has_the_width_of_the_page():
    # A4 upright less both edges is 192 mm, less the column of times at least 150 mm; frames of
    # checks are the only ones wider than 70 mm and between 12 and 60 mm tall, but for the bar's.
    def frames(page):
        paths = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=5)
        bounds = [path.get_bounds() for path in paths]
        return [r - x for x, y, r, top in bounds if r - x > 70 * MM and 20 * MM < top - y < 60 * MM]

    document = pypdfium2.PdfDocument(demo("desk_fan", portrait=True, large_print=True))
    with_check = [
        page for page in document if "Check: Cable" in page.get_textpage().get_text_bounded()
    ]
    assert [min(frames(page)) >= 150 * MM for page in with_check] == [True]


@pytest.mark.parametrize("portrait", [True, False])
def test_equipment_for_many_hazards_stays_on_the_page_of_a_large_print(portrait):
    pdf = demo("air_purifier", portrait=portrait, large_print=True)
    lowest = [
        min(text.get_rect(n)[1] for n in range(text.count_rects()))
        for text in (page.get_textpage() for page in pypdfium2.PdfDocument(pdf))
    ]
    assert min(lowest) >= 5 * MM


def test_large_pictures_leave_the_words_their_room():
    # 8 em hold three words of usual length; two pictures of 44 % of the page left them 5.
    assert sizes_of(demo("air_purifier", portrait=True), "Set the motor") != []
