"""What nobody foresaw is told in a sentence wherever it arises: Streamlit itself shows it bare."""

import runpy
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from stationflow.ui import show

APP = Path(__file__).parents[2] / "app.py"
TOLD = "told"
FIELD = """
import streamlit as st

from {module} import {function}

def breaks(entered):
    raise ZeroDivisionError(entered)

st.text_input("Field", **{function}("a.field", "as it was", breaks))
st.caption("the rest of the page")
"""


@pytest.fixture(autouse=True)
def trouble(monkeypatch: pytest.MonkeyPatch) -> list[BaseException]:
    """Return what was reported, without a file."""
    reported: list[BaseException] = []
    monkeypatch.setattr(show, "report_trouble", lambda problem: reported.append(problem) or TOLD)
    return reported


@pytest.mark.parametrize(
    ("module", "function"),
    [
        ("stationflow.ui.grids.fields", "stored_at_once"),
        ("stationflow.ui.imports.import_job", "kept"),
    ],
)
def test_an_error_while_a_field_is_taken_over_leaves_the_page(trouble, module, function):
    page = AppTest.from_string(FIELD.format(module=module, function=function)).run()
    page.text_input[0].set_value("another").run()
    assert [type(problem) for problem in trouble] == [ZeroDivisionError]
    said = [[each.value for each in kind] for kind in (page.error, page.caption, page.exception)]
    assert said == [[TOLD], ["the rest of the page"], []]


def test_an_error_that_no_page_catches_is_told_by_the_app(trouble):
    app = runpy.run_path(str(APP), run_name="app")["app"]
    problem = ZeroDivisionError("in a callback")
    assert (app._on_script_error(problem), trouble) == (True, [problem])
