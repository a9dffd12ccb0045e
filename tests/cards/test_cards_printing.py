"""The printed cards, read back from the PDF."""

import io
import json
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache

import pypdfium2
import pytest
from contrast import contrast
from PIL import Image
from sample_station import TASKS, fan, fan_plan, long_task, pictures, plan_of

from stationflow.cards import Paper, cards_pdf, cards_png, station_cards
from stationflow.cards.fonts import missing_characters
from stationflow.cards.printing import HERE
from stationflow.errors import CardError
from stationflow.model import Check, PartUse, Step
from stationflow.units import TimeUnit

PALETTE = json.loads((HERE / "template" / "palette.json").read_text("utf-8"))


def texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


def flat(pdf: bytes) -> str:
    return re.sub(r"[\s\u200b\ufffe\u00ad]+", "", "".join(texts(pdf)))


def cards_of(product=None, plan=None, **more):
    product = product or fan()
    return station_cards(product, plan or fan_plan(product), version_label="version 7", **more)[0]


@cache
def fan_pdf(unit: TimeUnit = TimeUnit.SECOND) -> bytes:
    return cards_pdf(cards_of(fan(unit))[:1], pictures())


@pytest.mark.parametrize("unit", [TimeUnit.SECOND, TimeUnit.CENTIMINUTE, TimeUnit.TMU])
def test_task_times_in_the_pdf_add_up_to_the_work_in_the_pdf(unit):
    # Each task's heading ends with its time; the total stands behind "Work of this station".
    text = " ".join(" ".join(texts(fan_pdf(unit))).split())
    number = r"(\d+(?:\.\d+)?)"
    times = re.findall(rf"task \d{{3}}(?:, machine time)? {number} {re.escape(unit.label)}", text)
    work = re.search(rf"Work of this station {number}", text)
    assert work
    assert (len(times), sum(map(Decimal, times))) == (6, Decimal(work[1]))


@pytest.mark.parametrize(
    "fact",
    ["FAN-20", "Desk fan, 230 mm, two speeds", "Final assembly", "64.8 s", "62.0 s", "60.0 s"],
)
def test_header_facts_are_on_every_page(fact):
    pdf = cards_pdf(cards_of(fan(), plan_of(fan(), ("010",), ("020", "030"))), {})
    assert all(fact.replace(" ", "") in re.sub(r"\s", "", text) for text in texts(pdf))


def test_every_task_is_printed():
    assert all(task.name.replace(" ", "") in flat(fan_pdf()) for task in TASKS[:6])


def test_every_step_key_point_and_reason_is_printed():
    said = [w for t in TASKS[:6] for s in t.steps for w in (s.text, s.key_point, s.reason)]
    assert [w for w in said if w.replace(" ", "") not in flat(fan_pdf())] == []


def test_pages_are_counted_for_each_card():
    pdf = cards_pdf(cards_of(fan(), plan_of(fan(), ("010",), ("070",))), {})
    assert ["Page 1 of 1" in text for text in texts(pdf)] == [True, True]


def test_forty_steps_flow_over_pages_that_repeat_the_header():
    product = fan(tasks=(long_task(40),))
    pdf = cards_pdf(cards_of(product, plan_of(product, ("900",))), {})
    pages = texts(pdf)
    assert len(pages) > 1
    assert all(f"Page {n} of {len(pages)}" in page for n, page in enumerate(pages, start=1))


# From memory (ISO 216, ANSI Y14.1): A4 595.276 x 841.890 pt, Letter 612 x 792 pt, A3 297 x 420 mm.
@pytest.mark.parametrize(
    ("paper", "points"),
    [
        (Paper.A4, (595.276, 841.890)),
        (Paper.A3, (297 / 25.4 * 72, 420 / 25.4 * 72)),
        (Paper.LETTER, (612, 792)),
    ],
)
@pytest.mark.parametrize("portrait", [True, False])
def test_pages_have_the_size_of_the_paper(paper, points, portrait):
    pdf = cards_pdf(cards_of()[1:], {}, paper=paper, portrait=portrait)
    size = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert size == pytest.approx(points if portrait else points[::-1], abs=0.01)


def test_same_cards_and_date_give_the_same_bytes():
    one, two = (cards_pdf(cards_of()[1:], pictures(), created=date(2026, 3, 1)) for _ in range(2))
    assert one == two


HOSTILE = [
    "#panic()",
    '#read("/etc/passwd")',
    "$x$",
    "*b* _i_",
    "] } ) [",
    "\"q\" 'p'",
    "back\\slash \\u{41}",
    "<label> @ref",
    "// no comment /* x */",
    "= heading",
]


@cache
def hostile_text() -> str:
    steps = tuple(Step(text=h, key_point=h, reason=h) for h in HOSTILE)
    task = replace(TASKS[0], steps=steps, checks=tuple(Check(text=h, limit=h) for h in HOSTILE))
    product = fan(tasks=(task,))
    return flat(cards_pdf(cards_of(product, plan_of(product, ("010",))), {}))


@pytest.mark.parametrize("hostile", HOSTILE)
def test_words_that_look_like_a_program_come_out_as_they_are(hostile):
    assert hostile_text().count(hostile.replace(" ", "")) >= 5


def test_a_word_of_3000_characters_is_printed_whole():
    task = replace(TASKS[0], steps=(Step(text="x" * 3000),), parts=(PartUse(part="P" * 60),))
    product = fan(tasks=(task,))
    pdf = cards_pdf(cards_of(product, plan_of(product, ("010",))), {})
    assert flat(pdf).count("x") >= 3000


def test_a_broken_picture_is_left_out():
    broken = {**pictures(), "base.png": b"\x89PNG not really", "jig.png": b""}
    assert cards_pdf(cards_of()[:1], broken).startswith(b"%PDF")


def test_a_mark_is_printed():
    pdf = cards_pdf(cards_of(mark="OUT OF DATE")[1:], {})
    assert "OUTOFDATE" in flat(pdf)


def test_no_cards_is_said():
    with pytest.raises(CardError):
        cards_pdf((), {})


def test_the_preview_has_the_pages_of_the_pdf():
    cards = cards_of()
    assert len(cards_png(cards, {}, ppi=40)) == len(texts(cards_pdf(cards, {})))


def test_one_page_of_the_preview_can_be_asked_for():
    cards = cards_of()
    shown = cards_png(cards, {}, ppi=25.4, pages=[1])
    assert [Image.open(io.BytesIO(png)).size for png in shown] == [(297, 210)]


# WCAG 2.x level AA: 4.5 for text, 3 for graphics.
@pytest.mark.parametrize("name", ["ink", "quiet", "mark"])
@pytest.mark.parametrize("ground", ["paper", "tint"])
def test_text_stands_out_from_its_ground(name, ground):
    assert contrast(PALETTE[name], PALETTE[ground]) >= 4.5


@pytest.mark.parametrize(("one", "other"), [("ink", "warning"), ("paper", "mandatory")])
def test_symbols_stand_out(one, other):
    assert contrast(PALETTE[one], PALETTE[other]) >= 4.5


@pytest.mark.parametrize("path", sorted((HERE / "symbols").glob("*.svg")), ids=lambda p: p.stem)
def test_symbols_use_the_palette_only(path):
    assert set(re.findall(r"#[0-9a-f]{6}", path.read_text("utf-8"))) <= set(PALETTE.values())


def test_latin_greek_and_cyrillic_are_in_the_font():
    assert missing_characters(["Größe Ω Ж é ± µ °C"]) == ""


@pytest.mark.fonts
def test_signs_beyond_our_font_are_taken_from_those_of_the_machine():
    assert missing_characters(["≤ 0.1 mm"]) == ""


def test_a_character_no_font_has_is_named(monkeypatch):
    monkeypatch.setattr("stationflow.cards.fonts.font_of", lambda character: None)
    assert missing_characters(["a\U00012000b"]) == "\U00012000"  # a cuneiform sign
