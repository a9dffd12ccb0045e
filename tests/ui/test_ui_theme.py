"""The colours of the pages can be read, in light and in dark: computed from the settings."""

import re
import tomllib
from pathlib import Path

import pytest
from contrast import CONTROLS, TEXT, contrast, luminance, mixed

from stationflow.drawing.diagram.diagram_work import DraftWork
from stationflow.drawing.diagram.precedence_diagram import precedence_diagram
from stationflow.drawing.palette import (
    ARROW,
    INK,
    ON_DARK,
    ON_PAPER,
    OVER,
    PAPER,
    STATION_FILLS,
    Inks,
)
from stationflow.drawing.render import render_diagram
from stationflow.ui import theme
from stationflow.ui.components.diagram_view import DARK_CHOSEN, DARK_INKS, DARK_NEAR

CONFIG = Path(__file__).parents[2] / ".streamlit" / "config.toml"
THEMES = tomllib.loads(CONFIG.read_text("utf-8"))["theme"]
COLOURS = ("red", "orange", "yellow", "green", "blue", "gray")
SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])
CHARTS = pytest.mark.parametrize("inks", [ON_PAPER, ON_DARK], ids=["paper", "dark"])


# WCAG 2.x: black on white is 21 by definition; the others are values published by contrast
# checkers, rounded to the digits given.
@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0),
        ("#767676", "#FFFFFF", 4.54),
        ("#777777", "#FFFFFF", 4.478),
        ("#0000FF", "#FFFFFF", 8.59),
        ("#FF0000", "#FFFFFF", 3.998),
        ("#FFFF00", "#FFFFFF", 1.074),
        ("#FF8100", "#64003A", 5.235),
    ],
)
def test_contrast_is_computed_as_published(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.006)


def test_luminance_is_computed_as_published():
    assert luminance("#FF8100") == pytest.approx(0.369605, abs=1e-5)


@SCHEMES
@pytest.mark.parametrize("ground", ["backgroundColor", "secondaryBackgroundColor"])
@pytest.mark.parametrize("words", ["textColor", "primaryColor", "linkColor", "grayTextColor"])
def test_words_can_be_read_on_the_page(scheme, ground, words):
    colours = THEMES[scheme]
    assert contrast(colours[words], colours[ground]) >= TEXT


@SCHEMES
@pytest.mark.parametrize("ground", ["backgroundColor", "secondaryBackgroundColor"])
def test_captions_and_headings_of_tables_can_be_read(scheme, ground):
    # Streamlit shows them as the text at 60 % over the ground (seen in its theme, fadedText60).
    colours = THEMES[scheme]
    assert contrast(mixed(colours["textColor"], colours[ground], 0.6), colours[ground]) >= TEXT


@SCHEMES
@pytest.mark.parametrize("colour", COLOURS)
def test_words_can_be_read_in_their_coloured_box_and_on_the_page(scheme, colour):
    colours = THEMES[scheme]
    words = colours[f"{colour}TextColor"]
    grounds = colours[f"{colour}BackgroundColor"], colours["backgroundColor"]
    assert min(contrast(words, ground) for ground in grounds) >= TEXT


@SCHEMES
def test_the_outline_of_a_field_stands_out(scheme):
    colours = THEMES[scheme]
    assert contrast(colours["borderColor"], colours["backgroundColor"]) >= CONTROLS


@SCHEMES
@pytest.mark.parametrize("fill", [theme.PRIMARY_FILL, theme.PRIMARY_FILL_POINTED])
def test_the_main_button_can_be_read(scheme, fill):
    assert contrast("#ffffff", fill) >= TEXT


@SCHEMES
def test_the_main_button_stands_out_from_the_page(scheme):
    assert contrast(theme.PRIMARY_FILL, THEMES[scheme]["backgroundColor"]) >= CONTROLS


@CHARTS
def test_words_of_the_load_chart_can_be_read(inks: Inks):
    pairs = [(inks.ink, inks.ground), (inks.limit, inks.ground), (inks.idle_ink, inks.idle)]
    pairs += [(inks.segment_ink, fill) for fill in inks.segments]
    assert min(contrast(words, ground) for words, ground in pairs) >= TEXT


@CHARTS
def test_lines_of_the_load_chart_stand_out(inks: Inks):
    lines = [inks.limit, inks.over, inks.idle_edge]
    assert min(contrast(line, inks.ground) for line in lines) >= CONTROLS


def test_task_numbers_can_be_read_on_every_station_of_a_diagram():
    assert min(contrast(ON_PAPER.ink, fill) for fill in STATION_FILLS) >= TEXT


def test_words_and_lines_of_a_diagram_can_be_seen_on_a_dark_page():
    ground, ink = DARK_INKS[PAPER], DARK_INKS[INK]
    assert contrast(ink, ground) >= TEXT
    lines = [DARK_INKS[ARROW], DARK_INKS[OVER], DARK_NEAR, DARK_CHOSEN]
    assert min(contrast(line, ground) for line in lines) >= CONTROLS


def test_every_colour_of_a_diagram_has_one_for_the_dark_page():
    work = DraftWork(
        line="main", numbers=("1", "2", "3", "4"), times=(1, 1, 1, None),
        predecessors=((), (0,), (3,), (2,)),
    )  # fmt: skip
    svg = render_diagram(precedence_diagram(work, {}), "svg").decode()
    used = set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg)) - {"none", "transparent"}
    assert {ink.lower() for ink in used} <= {ink.lower() for ink in DARK_INKS}


def test_the_dark_chart_lies_on_the_ground_of_the_dark_page():
    assert THEMES["dark"]["backgroundColor"].upper() == ON_DARK.ground
