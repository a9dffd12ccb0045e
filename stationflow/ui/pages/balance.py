"""Balance page: who does what."""

import streamlit as st

from stationflow.actions.showing import pacing
from stationflow.ui import show
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import (
    balance_run,
    balance_settings,
    joint_views,
    plan_views,
    shown_plan,
)

draft = show.product_heading(
    "Balance",
    "Who does what?",
    "The tasks are shared out to stations by a method you choose; a chart shows how full each "
    "station is and a bound how good the plan is.",
)
product = draft.product
line = show.line_choice(draft, "balance.line")
pace = next(p for p in pacing.paces(product) if p.line == line)

asked, answer = st.columns([1, 2.9], gap="medium")
with asked, st.container(border=True):
    settings = balance_settings.ask_settings(product, line, pace.station_time_s)
    balance_run.buttons(draft, line, settings)
with answer:
    with st.container():  # what comes and goes, as a job does, keeps the place of what follows
        job_views.watch(draft, line, lambda plans: shown_plan.choose(plans[-1]))
    with st.container():
        joint_views.answer(draft)
    if standing := job_views.meanwhile(draft, line):
        plan_views.show_meanwhile(draft, standing)
    else:
        plan_views.show_plans(draft, line)
show.next_step("cards", "Cards")
