"""Station cards on the Cards page: preview, print, self-check."""

import streamlit as st

from stationflow.actions.card_printing import CardSet, cards_of_plan
from stationflow.actions.plans import PlanState, plan_state
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.text import plain


def plan_in_force(draft: Draft, line: str) -> PlanState:
    """Return the plan in force of a line; without one, say how to make one and stop."""
    plan = session.store().plan_in_force(draft.product.code, line)
    if plan is None:
        st.info(
            "This line has no plan in force. Balance it first; its cards are made from the plan."
        )
        st.page_link(
            "stationflow/ui/pages/balance.py",
            label="Go to Balance",
            icon=":material/arrow_back:",
        )
        st.stop()
    state = plan_state(session.store(), draft, plan)
    st.markdown(f"Plan in force: {plain(plan.name)}, made from version {plan.product_version}.")
    if state.is_out_of_date:
        st.warning(
            "This plan is out of date. Its cards are printed from its own version and marked "
            "on every page. What differs:"
        )
        st.text("\n".join(state.differences[:8]))
    return state


def print_button(state: PlanState, *, paper: str, portrait: bool) -> None:
    """Offer the cards as PDF, made when the button is pressed."""
    cards = _card_set(state)
    today = session.now().date()
    plan = state.plan
    st.text(f"{len(cards.cards)} cards")
    st.download_button(
        "Print the cards (PDF)",
        lambda: cards.pdf(paper=paper, portrait=portrait, on=today),
        file_name=f"{plan.product}-{plan.line}-cards.pdf",
        mime="application/pdf",
        type="primary",
        icon=":material/print:",
        width="stretch",
        key="cards.print",
    )


def preview(state: PlanState, *, paper: str, portrait: bool) -> None:
    """Show the card of one station as it prints."""
    cards = _card_set(state)
    numbers = [card.station for card in cards.cards]
    if len(numbers) > 1:
        page = st.pagination(len(numbers), key=f"cards.station.{state.plan.plan_id}")
        station = numbers[(page or 1) - 1]
    else:
        station = numbers[0]
    with show.errors():
        for png in _pages(
            state.plan.plan_id, bool(state.differences), station, paper, portrait, cards
        ):
            st.image(png, width="stretch", alt=f"Card of station {station}")


def self_check(state: PlanState) -> None:
    """Show what should be known before the cards are hung up."""
    st.subheader("Self-check", anchor=False)
    show.findings(_card_set(state).findings, nothing="The cards are complete.")


def _card_set(state: PlanState) -> CardSet:
    """Return the cards of a plan, made once for each state of the plan."""
    return _made(state.plan.plan_id, state.differences, state)


@st.cache_data(show_spinner=False, max_entries=16)
def _made(plan_id: int, differences: tuple[str, ...], _state: PlanState) -> CardSet:
    """Return the cards of a plan."""
    return cards_of_plan(session.store(), _state)


@st.cache_data(show_spinner="Setting the card ...", max_entries=64)
def _pages(
    plan_id: int, is_out_of_date: bool, station: int, paper: str, portrait: bool, _cards: CardSet
) -> list[bytes]:
    """Return the pages of one station's card as pictures."""
    return _cards.pages(station, paper=paper, portrait=portrait)
