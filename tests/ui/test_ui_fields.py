"""Fields that are stored at once: nothing typed is lost, whatever is pressed next."""

from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, put_in
from streamlit.testing.v1 import AppTest

from stationflow.actions.products.saving import save_edit
from stationflow.model import Product, Weekday
from stationflow.ui import session
from stationflow.ui.grids import saved_elsewhere, stored_edits
from stationflow.ui.grids.saved_elsewhere import Notes
from tests.ui.test_ui_line_entering import Entering

SHOWN = """
import streamlit as st
from stationflow.ui.grids.fields import stored_at_once

def store(entered):
    st.session_state.stored = entered
    return entered != "refused"

now = st.session_state.setdefault("stored", "as it was")
st.text_input("Field", value=now, **stored_at_once("a field", now, store))
"""


@pytest.fixture
def packing(store) -> Entering:
    put_in(store, replace(BOARD_LAMP, code="L-200"))
    return Entering("Packing")


def field(page: Entering, label: str):
    return next(each for each in page.test.text_input if each.label == label)


def test_a_field_that_is_left_by_another_tab_is_stored(store, packing):
    field(packing, "Gross mass (kg)").set_value("8,2")
    packing.test.session_state["line.entering"] = "Costs"
    packing.run()
    assert store.draft("L-200").product.packing.gross_kg == 8.2


def test_two_fields_told_in_one_run_are_stored_and_are_no_change_of_another(store, packing):
    field(packing, "Gross mass (kg)").set_value("8,2")
    field(packing, "Units on a pallet").set_value("24")
    packing.run()
    made = store.draft("L-200").product.packing
    assert (made.gross_kg, made.per_pallet, "had changed" in packing.said) == (8.2, 24, False)


def test_a_page_that_was_read_before_its_own_edit_was_stored_is_drawn_anew(
    store, packing, monkeypatch
):
    read, before = session.draft, [store.draft("L-200")]
    monkeypatch.setattr(session, "draft", lambda: before.pop() if before else read())
    field(packing, "Gross mass (kg)").set_value("8,2")
    packing.run()
    buttons = {each.key: each for each in packing.test.button}
    assert (before, "edit.show" in buttons, buttons["edit.undo"].disabled) == ([], False, False)


def test_a_field_lives_on_with_what_was_entered_in_it():
    page = AppTest.from_string(SHOWN).run()
    key = page.text_input[0].key
    for text in ("another", "as it was", "another"):
        page.text_input[0].set_value(text).run()
        assert (page.text_input[0].key, page.text_input[0].value) == (key, text)


def test_a_field_whose_value_changed_elsewhere_is_drawn_under_a_key_it_never_had():
    page = AppTest.from_string(SHOWN).run()
    keys = []
    for text in ("of another", "as it was", "of another"):  # stored, and then undone elsewhere
        page.text_input[0].set_value("mine").run()
        keys.append(page.text_input[0].key)
        page.session_state.stored = text
        page.run()
        assert page.text_input[0].value == text
    assert len({*keys}) == 3


def test_a_number_that_was_typed_in_another_form_is_shown_as_it_is_stored(store, packing):
    field(packing, "Gross mass (kg)").set_value("8,20")
    packing.run()
    assert field(packing, "Gross mass (kg)").value == "8.2"


def test_what_is_not_taken_stays_in_its_field():
    page = AppTest.from_string(SHOWN.replace("st.session_state.stored = entered", "pass")).run()
    page.text_input[0].set_value("refused").run()
    assert page.text_input[0].value == "refused"


@pytest.fixture
def notes(store, monkeypatch) -> Notes:
    """Return what the session remembers, where no page is drawn."""
    kept = Notes()
    monkeypatch.setattr(saved_elsewhere, "notes", lambda: kept)
    return kept


def with_saturday(product: Product) -> Product:
    days = (*product.calendar.days, Weekday.SATURDAY)
    return replace(product, calendar=replace(product.calendar, days=days))


def test_a_choice_taken_back_before_its_field_is_drawn_anew_is_taken_back(store, notes):
    draft = put_in(store, LAMP)  # what both fields show
    assert stored_edits.change(draft, with_saturday)
    assert stored_edits.change(draft, lambda now: replace(now, calendar=LAMP.calendar))
    assert (store.draft("L-100").product, notes.said) == (LAMP, [])


def test_what_another_stored_meanwhile_is_told_and_kept(store, notes):
    draft = put_in(store, LAMP)
    save_edit(store, replace(LAMP, name="Theirs"), base=draft, **ANA)
    stored_edits.change(draft, with_saturday)
    stored = store.draft("L-100").product
    assert (stored.name, stored.calendar) == ("Theirs", with_saturday(LAMP).calendar)
    assert "had changed" in notes.said[0]


def test_own_saves_are_followed_only_to_the_newest_state(store, notes):
    draft = put_in(store, LAMP)
    stored_edits.change(draft, with_saturday)
    own = store.draft("L-100")
    assert notes.latest(draft, own.checksum) == own
    assert notes.latest(draft, "of another") == draft
