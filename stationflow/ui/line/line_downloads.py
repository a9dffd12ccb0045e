"""What the Line page offers to download: drawing, recommendation, report, fault cards."""

from collections.abc import Callable
from datetime import date

import streamlit as st

from stationflow.actions.showing import line_showing
from stationflow.actions.showing.line_showing import LineView
from stationflow.cards.paper import Paper
from stationflow.line.simulation.simulated import Simulated
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.downloads import Offer, menu, pictures
from stationflow.ui.jobs import job_views

Print = Callable[[LineView, Simulated | None, str, Paper, date], bytes]


def download(draft: Draft, view: LineView) -> None:
    """Show the choice of paper and the files on offer."""
    paper = st.segmented_control(
        "Paper of the reports",
        list(Paper),
        format_func=lambda each: each.label,
        label_visibility="collapsed",
        required=True,
        **session.kept("line.paper", Paper.A4),
    )
    menu("line.download", line_offers(draft, view, paper or Paper.A4))


def line_offers(draft: Draft, view: LineView, paper: Paper) -> list[Offer]:
    """Return the files on offer; the reports hold the last simulation, if there was one."""
    said = f"{draft.version}, {draft.at:%Y-%m-%d}"
    code = draft.product.code
    job = job_views.last_simulation(draft)
    simulated = job.simulated if job else None
    on = session.now().date()

    def printed(title: str, word: str, make: Print) -> Offer:
        return Offer(
            title, (code, "line", word), {"pdf": lambda: make(view, simulated, said, paper, on)}
        )

    offers = [
        pictures(
            "Drawing of the line",
            (code, "line", "drawing"),
            lambda kind: line_showing.line_drawing_file(view, kind, said),
        ),
        printed("Recommendation, one page", "recommendation", line_showing.recommendation_pdf),
        printed("Report with every number opened", "report", line_showing.full_report_pdf),
    ]
    if any(fault.gate for fault in draft.product.faults):
        cards = {"pdf": lambda: line_showing.fault_cards_pdf(view, said, paper, on)}
        offers.append(Offer("Fault cards of the tests", (code, "line", "fault cards"), cards))
    if view.whole.quality.drops:
        form = {"pdf": lambda: line_showing.drop_record_pdf(view, said, paper, on)}
        offers.append(Offer("Drop test with its form", (code, "line", "drop test"), form))
    return offers
