"""Rendering runs in a child process and fails with a sentence."""

import shutil

import pytest

from stationflow.drawing import render
from stationflow.drawing.render import render_diagram
from stationflow.errors import DrawingError

SOURCE = 'digraph { a [label="Fit gear wheel"]; a -> b }'
# First bytes of each kind, from the formats' own specifications.
STARTS = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}


@pytest.mark.parametrize("kind", STARTS)
def test_each_kind_starts_as_its_format_does(kind: str):
    assert render_diagram(SOURCE, kind).startswith(STARTS[kind])


def test_without_a_layout_program_the_wheel_draws(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert b"Fit gear wheel" in render_diagram(SOURCE, "svg", timeout_s=60)


def test_a_layout_that_takes_too_long_is_stopped():
    with pytest.raises(DrawingError, match="not drawn within"):
        render_diagram(SOURCE, "svg", timeout_s=0.0001)


def test_a_broken_source_is_said_in_a_sentence():
    with pytest.raises(DrawingError, match="layout program failed"):
        render_diagram("digraph {", "svg")


def test_a_program_that_does_not_start_is_said_in_a_sentence(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(render, "_command", lambda _: ["/no/such/program"])
    with pytest.raises(DrawingError, match="did not start"):
        render_diagram(SOURCE, "svg")


def test_another_kind_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="kind"):
        render_diagram(SOURCE, "gif")
