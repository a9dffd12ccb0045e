"""Station cards on the Cards page: preview, print, self-check."""

from functools import partial

import streamlit as st

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.actions.showing.card_printing import (
    LANGUAGES,
    PAPERS,
    CardSet,
    FileKind,
    PrintForm,
    cards_of_plan,
)
from stationflow.balancing.time_words import count
from stationflow.storage import Draft
from stationflow.ui import downloads, session, show
from stationflow.ui.text import plain


def plan_in_force(draft: Draft, opened: Opened, line: str) -> PlanState:
    """Return the plan in force of a line; without one, say how to make one and stop."""
    plan = opened.plan_in_force(line)
    if plan is None:
        st.info(
            "This line has no plan in force. Balance it first; its cards are made from the plan."
        )
        show.to_do_first(draft, "cards")
        st.stop()
    state = plan_state(opened, plan)
    st.markdown(f"Plan in force: {plain(plan.name)}, made from version {plan.product_version}.")
    if state.is_out_of_date:
        st.warning(
            "This plan is out of date. Its cards are printed from its own version and marked "
            "on every page. What differs:"
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


def form_choice() -> PrintForm:
    """Ask how the cards are printed."""
    paper = st.segmented_control(
        "Paper",
        PAPERS,
        format_func=lambda name: name.capitalize() if len(name) > 2 else name.upper(),
        width="stretch",
        **session.kept("cards.paper", PAPERS[0]),
    )
    return PrintForm(
        paper=paper or PAPERS[0],
        portrait=st.toggle("Upright pages", **session.kept("cards.portrait", False)),
        large_print=st.toggle(
            "Large print",
            help="No text smaller than 16 points: the same content on more pages.",
            **session.kept("cards.large_print", False),
        ),
    )


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
    """Show the card of one station as it prints."""
    numbers, plan_id = [card.station for card in cards.cards], state.plan.plan_id
    page = 1
    if len(numbers) > 1:
        page = st.pagination(len(numbers), key=f"cards.station.{plan_id}") or 1
    station = numbers[page - 1]
    with show.errors():
        for png in _pages(plan_id, bool(state.differences), station, language, form, cards):
            st.image(png, width="stretch", alt=f"Card of station {station}")


@st.cache_data(show_spinner="Setting the card ...", max_entries=64)
def _pages(
    plan_id: int,
    is_out_of_date: bool,
    station: int,
    language: str | None,
    form: PrintForm,
    _cards: CardSet,
) -> list[bytes]:
    return _cards.pages(station, form)
