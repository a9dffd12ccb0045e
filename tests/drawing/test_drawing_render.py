"""Rendering runs in a child process and fails with a sentence."""

import io
import shutil
import sys
from pathlib import Path

import pytest
from PIL import Image

from stationflow.drawing import render
from stationflow.drawing.render import drawn_by_child, render_diagram, render_svg
from stationflow.errors import DrawingError

SOURCE = 'digraph { a [label="Fit gear wheel"]; a -> b }'
# First bytes of each kind, from the formats' own specifications.
STARTS = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}


@pytest.mark.parametrize("kind", STARTS)
def test_each_kind_starts_as_its_format_does(kind: str):
    assert render_diagram(SOURCE, kind).startswith(STARTS[kind])


def test_without_a_layout_program_the_wheel_draws(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert b"Fit gear wheel" in render_diagram(SOURCE, "svg")


def test_a_program_that_takes_too_long_is_stopped():
    with pytest.raises(DrawingError, match="not drawn within 1 s"):
        drawn_by_child([sys.executable, "-c", "while True: pass"], b"", "diagram", seconds=1)


def test_a_program_that_waits_for_a_busy_machine_is_not_stopped():
    waits = [sys.executable, "-c", "import time; time.sleep(1.5); print('drawn')"]
    assert drawn_by_child(waits, b"", "diagram", seconds=1) == b"drawn\n"


def test_a_broken_source_is_said_in_a_sentence():
    with pytest.raises(DrawingError, match="program that draws failed"):
        render_diagram("digraph {", "svg")


def test_a_program_that_does_not_start_is_said_in_a_sentence(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(render, "_command", lambda _: ["/no/such/program"])
    with pytest.raises(DrawingError, match="did not start"):
        render_diagram(SOURCE, "svg")


def test_another_kind_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="kind"):
        render_diagram(SOURCE, "gif")


OWN_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="96" height="48" viewBox="0 0 96 48">'
    '<rect width="96" height="48" fill="#ff0000"/></svg>'
)


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_an_svg_is_set_as_each_kind(kind: str):
    assert render_svg(OWN_SVG, kind).startswith(STARTS[kind])


def test_an_svg_stays_as_it_is():
    assert render_svg(OWN_SVG, "svg") == OWN_SVG.encode()


def test_a_png_has_two_pixels_for_each_of_the_svg():
    with Image.open(io.BytesIO(render_svg(OWN_SVG, "png"))) as picture:
        assert picture.size == (192, 96)


def test_a_png_is_filled_to_its_edges():
    with Image.open(io.BytesIO(render_svg(OWN_SVG, "png"))) as picture:
        corners = {picture.convert("RGB").getpixel(at) for at in ((0, 0), (191, 95))}
    assert corners == {(255, 0, 0)}


def test_the_same_svg_gives_the_same_pdf():
    assert render_svg(OWN_SVG, "pdf") == render_svg(OWN_SVG, "pdf")


def test_an_svg_that_cannot_be_read_is_said_in_a_sentence():
    with pytest.raises(DrawingError, match="could not be drawn"):
        render_svg("<svg", "png")


def test_an_svg_that_points_to_a_file_is_refused(tmp_path: Path):
    Image.new("RGB", (8, 8), "lime").save(tmp_path / "other.png")
    linked = OWN_SVG.replace("</svg>", f'<image href="{tmp_path}/other.png" width="9"/></svg>')
    with pytest.raises(DrawingError, match="could not be drawn"):
        render_svg(linked, "png")


def test_an_svg_as_another_kind_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="kind"):
        render_svg(OWN_SVG, "gif")
