"""The questions of an import that only the engineer can answer."""

from collections.abc import Callable, Sequence

import streamlit as st

from stationflow.files.foreign.import_report import Offer
from stationflow.ui.imports.import_job import ImportJob, kept
from stationflow.ui.text import plain

MANY = 8  # more questions than this scroll in a box of their own
SHOWN_CELLS = 6


def questions(job: ImportJob, offers: Sequence[Offer], unanswered: Sequence[str]) -> None:
    """Show every question with its evidence; nothing is answered in the engineer's place."""
    if not offers:
        return
    open_ones = len(unanswered)
    said = f":orange[{open_ones} must be answered]" if open_ones else "none has to be answered"
    st.markdown(
        f"**{len(offers)} question{'' if len(offers) == 1 else 's'} about the sheet**, {said}"
    )
    with st.container(height=860 if len(offers) > MANY else "content", border=False):
        for offer in offers:
            _question(job, offer, is_open=offer.id in unanswered)


def _question(job: ImportJob, offer: Offer, *, is_open: bool) -> None:
    """Show one question: what is asked and why on the left, the answers on the right."""
    labels = {choice.value: choice.label for choice in offer.choices}

    def put(value: str | None) -> None:
        if value is not None:
            job.choices[offer.id] = value
            job.turn += 1

    with st.container(border=True):
        asked, answer = st.columns([5, 4], gap="medium", vertical_alignment="center")
        with asked:
            mark = ":orange[:material/help: answer needed]" if is_open else ""
            cells = ", ".join(offer.cells[:SHOWN_CELLS])
            cells += " …" if len(offer.cells) > SHOWN_CELLS else ""
            st.markdown(f"**{plain(offer.sentence)}** {mark}")
            st.caption(plain(f"{offer.evidence} {f'({cells})' if cells else ''}".strip()))
        said = job.choices.get(offer.id, offer.default)
        if said is not None and said not in labels:
            labels[said] = f"{said}, as typed"
        with answer:
            st.radio(
                offer.sentence,
                list(labels),
                format_func=lambda value: plain(labels[value]),
                label_visibility="collapsed",
                **kept(f"offer.{offer.id}", said, put),
            )
            if offer.accepts:
                _typed(job, offer, put)


def _typed(job: ImportJob, offer: Offer, put: Callable[[str | None], None]) -> None:
    """Let another answer be typed."""

    def take(text: str) -> None:
        word = text.strip()
        job.mistyped = {} if offer.takes(word) or not word else {offer.id: word}
        put(word if offer.takes(word) else None)

    st.text_input(
        "Another task number",
        placeholder="or type another task number",
        label_visibility="collapsed",
        max_chars=60,
        **kept(f"typed.{offer.id}", job.mistyped.get(offer.id, ""), take),
    )
    if word := job.mistyped.get(offer.id):
        st.caption(f":red[There is no task {plain(word)} either.]")
