"""Cards as web page, workbook and archive, and in large print: the same content as on paper."""

import ctypes
import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import date
from functools import cache
from html.parser import HTMLParser

import openpyxl
import pypdfium2
import pypdfium2.raw as raw
import pytest
from arabic_station import arabic_cards
from sample_station import TASKS, fan, fan_plan, long_task, pictures, plan_of

from stationflow.cards import (
    Paper,
    cards_html,
    cards_pdf,
    cards_workbook,
    cards_zip,
    check_pictures,
    safe_name,
    station_cards,
)
from stationflow.errors import CardError
from stationflow.model import Check, PartUse, Step, Task

HOSTILE = "<script>alert(1)</script> \" onload=x ' & =1+1"
FORMULAS = ("=1+1", "+SUM(A1)", "-2+3", "@SUM(A1)", '=HYPERLINK("http://x")')


def cards_of(product=None, plan=None, **more):
    product = product or fan()
    return station_cards(product, plan or fan_plan(product), version_label="version 7", **more)[0]


def said_by(tasks):
    """Return all words of the tasks that a card prints."""
    for task in tasks:
        yield task.name
        for step in task.steps:
            yield from (w for w in (step.text, step.key_point, step.reason) if w)
        for check in task.checks:
            yield from (w for w in (check.text, check.limit, check.reaction) if w)


class _Words(HTMLParser):
    """The words and the addresses of a page."""

    def __init__(self):
        super().__init__()
        self.words, self.tags, self.addresses = [], [], []

    def handle_data(self, data):
        self.words.append(data)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.addresses += [v for k, v in attrs if k in ("src", "href") and v]


def read_page(page):
    parser = _Words()
    parser.feed(page.decode("utf-8"))
    return parser


@cache
def web_page():
    return read_page(cards_html(cards_of(), pictures()))


def test_the_web_page_says_all_the_card_says():
    text = "".join(web_page().words)
    assert [w for w in said_by(TASKS) if w not in text] == []


def test_the_web_page_fetches_nothing():
    assert [a for a in web_page().addresses if not a.startswith(("data:", "#"))] == []


def test_words_that_look_like_html_come_out_as_they_are():
    task = replace(TASKS[0], name=HOSTILE, steps=(Step(text=HOSTILE, key_point=HOSTILE),))
    product = replace(fan(tasks=(task,)), name=HOSTILE)
    page = read_page(cards_html(cards_of(product, plan_of(product, ("010",))), {}))
    assert ("script" in page.tags, "".join(page.words).count(HOSTILE) >= 4) == (False, True)


def test_an_arabic_page_is_read_from_right_to_left():
    page = cards_html(arabic_cards(), {}).decode("utf-8")
    assert '<html lang="ar" dir="rtl">' in page


def test_a_missing_picture_has_a_frame_on_the_web_page():
    assert "picture missing: base.png" in "".join(read_page(cards_html(cards_of(), {})).words)


@cache
def book():
    return openpyxl.load_workbook(io.BytesIO(cards_workbook(cards_of(), pictures())))


def cells(sheet):
    return [cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None]


def test_the_workbook_has_an_overview_and_a_sheet_for_each_station():
    assert book().sheetnames == ["Overview", "Station 1", "Station 2"]


def test_the_workbook_says_all_the_card_says():
    text = "\n".join(str(v) for sheet in book() for v in cells(sheet))
    assert [w for w in said_by(TASKS) if w not in text] == []


def test_times_in_the_workbook_are_numbers_that_add_up_to_the_work():
    # 52.95 s rounded half up; the column of the tasks and the total below it.
    numbers = [c.value for c in book()["Station 1"]["E"] if isinstance(c.value, int | float)]
    assert (round(sum(numbers[:-1]), 6), numbers[-1]) == (53.0, 53.0)


def test_the_workbook_is_dated_by_the_day_it_is_printed_for_and_not_by_the_clock():
    content = cards_workbook(cards_of(), {}, created=date(2026, 3, 2))
    dated = openpyxl.load_workbook(io.BytesIO(content)).properties
    assert (str(dated.created), str(dated.modified)) == ("2026-03-02 00:00:00",) * 2


def test_every_sheet_has_a_native_chart():
    names = zipfile.ZipFile(io.BytesIO(cards_workbook(cards_of(), pictures()))).namelist()
    # The overview's chart of columns and line is one file, each station has one.
    assert sum(n.startswith("xl/charts/chart") for n in names) == 3


@pytest.mark.parametrize("hostile", FORMULAS)
def test_what_looks_like_a_formula_stays_text(hostile):
    task = Task(number="010", name=hostile, time_ms=5000, steps=(Step(text=hostile),))
    product = replace(fan(tasks=(task,)), name=hostile)
    content = cards_workbook(cards_of(product, plan_of(product, ("010",))), {})
    read = openpyxl.load_workbook(io.BytesIO(content))
    formulas = [c for row in read["Station 1"].iter_rows() for c in row if c.data_type == "f"]
    assert (formulas, hostile in cells(read["Station 1"])) == ([], True)


def test_a_word_as_long_as_a_card_holds_is_kept_whole():
    task = replace(TASKS[0], steps=(Step(text="x" * 6000),))
    product = fan(tasks=(task,))
    content = cards_workbook(cards_of(product, plan_of(product, ("010",))), {})
    read = openpyxl.load_workbook(io.BytesIO(content))
    assert sum(str(v).count("x") for v in cells(read["Station 1"]) if "xx" in str(v)) == 6000


@pytest.mark.office
@pytest.mark.parametrize("made", ["desk fan", "arabic"])
def test_an_office_program_opens_the_workbook_and_keeps_its_words(made, tmp_path):
    cards = cards_of() if made == "desk fan" else arabic_cards()
    (tmp_path / "cards.xlsx").write_bytes(cards_workbook(cards, pictures()))
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    subprocess.run(
        [
            shutil.which("soffice"), profile, "--headless", "--convert-to", "ods",
            "--outdir", str(tmp_path), str(tmp_path / "cards.xlsx"),
        ],
        check=True, timeout=120, capture_output=True,
    )  # fmt: skip
    content = zipfile.ZipFile(tmp_path / "cards.ods").read("content.xml").decode("utf-8")
    assert [t.name for c in cards for t in c.tasks if t.name not in content] == []


def archive(ending="pdf"):
    made = {"pdf": lambda c: cards_pdf([c], {}), "html": lambda c: cards_html([c], {})}[ending]
    return zipfile.ZipFile(io.BytesIO(cards_zip(cards_of(), ending, made)))


def test_the_archive_has_an_index_and_a_file_for_each_station():
    assert archive().namelist() == [
        "index.html",
        "FAN-20-main-station-001.pdf",
        "FAN-20-main-station-002.pdf",
    ]


def test_the_index_links_the_files_that_are_there():
    read = archive("html")
    links = read_page(read.read("index.html")).addresses
    assert links == read.namelist()[1:]


def test_the_same_cards_give_the_same_archive():
    one, two = (cards_zip(cards_of(), "html", lambda c: cards_html([c], {})) for _ in range(2))
    assert one == two


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("../../etc", "etc"),
        ("CON", "CON-1"),
        ("好", "cards"),
        ("a/b\\c:d", "a-b-c-d"),
        ("", "cards"),
    ],
)
def test_names_of_files_are_safe_on_every_system(text, name):
    assert safe_name(text) == name


@pytest.mark.parametrize("dress", [cards_html, cards_workbook])
def test_no_cards_is_said_in_every_dress(dress):
    with pytest.raises(CardError):
        dress((), {})


def sizes_in(pdf):
    """Return the sizes of all letters of a PDF in points."""
    found = set()
    for page in pypdfium2.PdfDocument(pdf):
        for shown in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=5):
            height = ctypes.c_float()
            raw.FPDFTextObj_GetFontSize(shown.raw, height)
            matrix = shown.get_matrix()
            found.add(round(height.value * abs(matrix.d), 1))
    return found


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("portrait", [True, False])
def test_no_text_of_a_large_print_is_smaller_than_16_points(paper, portrait):
    pdf = cards_pdf(cards_of(), pictures(), paper=paper, portrait=portrait, large_print=True)
    assert min(sizes_in(pdf)) >= 16


@pytest.mark.parametrize("paper", list(Paper))
def test_a_large_print_says_all_the_card_says(paper):
    pdf = cards_pdf(cards_of(), pictures(), paper=paper, large_print=True)
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]
    flat = re.sub(r"[\s\u200b\ufffe]+", "", "".join(pages))
    assert [w for w in said_by(TASKS) if w.replace(" ", "") not in flat] == []


@pytest.mark.parametrize("large_print", [True, False])
@pytest.mark.parametrize("portrait", [True, False])
def test_rude_stations_stay_on_the_pages_planned_for_them(large_print, portrait):
    many = tuple(PartUse(part=f"P-{n}") for n in range(60))
    check = Check(text="y" * 2000, limit="z" * 500)
    rude = (
        replace(long_task(40), number="1"),
        Task(number="2", name="W" * 2000, time_ms=1000),
        Task(number="3", name="", time_ms=None),
        Task(number="4", name="Parts", time_ms=3000, parts=many),
        Task(number="5", name="Check", time_ms=1000, checks=(check,)),
    )
    product = replace(fan(tasks=rude), name="A very long name of a product " * 10)
    cards = cards_of(product, plan_of(product, *((t.number,) for t in rude)))
    pdf = cards_pdf(cards, {}, portrait=portrait, large_print=large_print)
    texts = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]
    pages = [tuple(map(int, re.search(r"Page (\d+) of (\d+)", t).groups())) for t in texts]
    starts = [n for n, (page, _) in enumerate(pages) if page == 1]
    assert pages == [(n, pages[s][1]) for s in starts for n in range(1, pages[s][1] + 1)]


def test_a_missing_picture_has_a_frame_that_names_it():
    pdf = cards_pdf(cards_of(), {}, created=date(2026, 3, 1))
    text = "".join(p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(pdf))
    assert "picture missing:" in text


# The last 12 bytes of a PNG are the chunk IEND (ISO/IEC 15948, 11.2.5).
@pytest.mark.parametrize("kept", ["no PNG", "half", "all but the end"])
def test_a_picture_that_cannot_be_read_is_told_with_its_task_and_its_frame(kept):
    whole = pictures()["base.png"]
    data = {"no PNG": b"GIF89a", "half": whole[: len(whole) // 2], "all but the end": whole[:-12]}
    shown = {**pictures(), "base.png": data[kept]}
    pdf = cards_pdf(cards_of(), shown)
    text = "".join(p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(pdf))
    found = check_pictures(cards_of(), shown)
    assert ([f.where for f in found], "picture missing: base" in text) == (["Task 010"], True)
