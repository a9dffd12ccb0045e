"""Station cards on the Cards page: preview, print, self-check."""

from functools import partial

import streamlit as st

from stationflow.actions.opening.chosen_plan import not_read_for_plan
from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.actions.showing.card_printing import (
    LANGUAGES,
    PAPERS,
    WAYS,
    CardSet,
    FileKind,
    PrintForm,
    cards_of_plan,
)
from stationflow.balancing.time_words import count
from stationflow.model.unread import Use
from stationflow.storage import Draft
from stationflow.ui import downloads, session, show
from stationflow.ui.text import plain


def plan_in_force(draft: Draft, opened: Opened, line: str) -> PlanState:
    """Return the plan in force of a line; where it gives no cards, say why and stop."""
    plan = opened.plan_in_force(line)
    if plan is None:
        st.info(
            "This line has no plan in force. Balance it first; its cards are made from the plan."
        )
        show.to_do_first(draft, "line")
        st.stop()
    state = plan_state(opened, plan)
    if not_read := not_read_for_plan(state.made_from, line, Use.CARDS):
        st.info("No card is made while something that stands on it is not read.")
        show.findings(not_read)
        st.stop()
    st.markdown(f"Plan in force: {plain(plan.name)}, made from version {plan.product_version}.")
    if state.is_out_of_date:
        st.warning(
            "This plan is out of date. Its cards are printed from its own version; those that "
            "would be others today are marked on every page. What differs:"
        )
        st.text("\n".join(state.differences[:8]))
    return state


def language_choice() -> str | None:
    """Ask for the language of the fixed words; None: told by the letters of the texts."""
    chosen: str = st.selectbox(
        "Language of the fixed words",
        ("", *LANGUAGES),  # a choice of None would show as nothing chosen
        format_func=lambda code: LANGUAGES[code] if code else "By the letters of the texts",
        help="Heads, cautions of the catalogue and the like. Your own texts are never translated.",
        **session.kept("cards.language", ""),
    )
    return chosen or None


FITTING = "fitting"
LAYOUTS = {f"{paper}-{way}": (paper, way == "upright") for paper in PAPERS for way in WAYS}
"""Ways to lay out a card, as the page keeps them: "a4-upright"."""


def form_choice(cards: CardSet, state: PlanState, language: str | None) -> PrintForm:
    """Ask how the cards are printed; unless chosen, so that most take one page, and say why."""
    large_print = st.toggle(
        "Large print",
        help="No text smaller than 16 points: the same content on more pages.",
        **session.kept("cards.large_print", False),
    )
    chosen = st.selectbox(
        "Layout",
        (FITTING, *LAYOUTS),
        format_func=lambda name: (
            "What fits most cards on one page"
            if name == FITTING
            else name.replace("-", " ").capitalize()
        ),
        **session.kept("cards.layout", FITTING),
    )
    if chosen in LAYOUTS:
        paper, portrait = LAYOUTS[chosen]
        return PrintForm(paper=paper, portrait=portrait, large_print=large_print)
    form, why = _fitting(state.plan.plan_id, state.differences, language, large_print, cards)
    st.caption(plain(why))
    return form


@st.cache_data(show_spinner="Looking for the layout ...", max_entries=16)
def _fitting(
    plan_id: int,
    differences: tuple[str, ...],
    language: str | None,
    large_print: bool,
    _cards: CardSet,
) -> tuple[PrintForm, str]:
    return _cards.fitting(None, None, large_print=large_print)


@st.cache_data(show_spinner=False, max_entries=16)
def card_set(
    plan_id: int,
    differences: tuple[str, ...],
    language: str | None,
    _opened: Opened,
    _state: PlanState,
) -> CardSet:
    """Return the cards of a plan, made once for each state of the plan and language."""
    return cards_of_plan(_opened, _state, language)


def print_button(cards: CardSet, form: PrintForm) -> None:
    """Offer the cards as a file, made when the button is pressed."""
    kinds = tuple(FileKind)
    kind = st.selectbox(
        "Format",
        kinds,
        format_func=lambda kind: kind.label,
        **session.kept("cards.format", FileKind.PDF),
    )
    st.text(count(len(cards.cards), "card"))
    downloads.button(
        f"Print the cards ({kind.ending.upper()})",
        partial(cards.file, kind, form, session.now().date()),
        f"{cards.file_name}.{kind.ending}",
        kind.mime,
        key="cards.print",
        type="primary",
        icon=":material/print:",
        width="stretch",
    )


def preview(cards: CardSet, state: PlanState, language: str | None, form: PrintForm) -> None:
    """Show the card of one station as it prints, with a button that prints it alone."""
    numbers, plan_id = [card.station for card in cards.cards], state.plan.plan_id
    with st.container(horizontal=True, vertical_alignment="center"):
        page = 1
        if len(numbers) > 1:
            page = st.pagination(len(numbers), key=f"cards.station.{plan_id}") or 1
        station = numbers[min(page, len(numbers)) - 1]
        downloads.button(
            f"Print card {station}",
            partial(cards.file, FileKind.PDF, form, session.now().date(), station),
            f"{cards.file_name}-{station}.pdf",
            FileKind.PDF.mime,
            key="cards.print_one",
            icon=":material/print:",
        )
    with show.errors():
        for png in _pages(plan_id, state.differences, station, language, form, cards):
            st.image(png, width="stretch", alt=f"Card of station {station}")


@st.cache_data(show_spinner="Setting the card ...", max_entries=64)
def _pages(
    plan_id: int,
    differences: tuple[str, ...],
    station: int,
    language: str | None,
    form: PrintForm,
    _cards: CardSet,
) -> list[bytes]:
    return _cards.pages(station, form)
