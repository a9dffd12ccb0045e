"""Compare page: which plan is best."""

import streamlit as st

from stationflow.actions.opening.plan_states import plan_states
from stationflow.actions.showing.comparing import compare_stored, plan_labels
from stationflow.ui import session, show
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import compare_views, curve_views, plan_menu

draft = show.product_heading(
    "Compare",
    "Which plan is best?",
    "Plans of one line side by side: their figures, what differs in words, and which tasks "
    "sit elsewhere.",
)
line = show.line_choice(draft, "compare.line")
with st.container():  # keeps the place of what follows while a job comes and goes
    job_views.watch(
        draft,
        line,
        lambda plans: compare_views.add_to_choice(draft, line, [p.plan_id for p in plans]),
    )
with_archived = st.session_state.get("compare.with_archived", False)
listed = plan_states(session.opened(draft), line, archived=with_archived)
if not listed:
    st.info(
        "This line has no plan yet. Balance it on the Balance page, or by several methods here."
    )
    show.to_do_first(draft, "balance")
    methods, beside = st.columns([1, 2], gap="large")
    with methods, st.container(border=True):
        plan_menu.methods_form(draft, line, None)
    with beside:
        st.subheader("Stations against cycle")
        curve_views.curve_section(draft, line)
    st.stop()

labels = plan_labels(listed)
chosen, base = compare_views.choose_plans(draft, line, listed, labels)
if not chosen:
    st.info("Choose the plans to compare.")
    st.subheader("Stations against cycle")
    curve_views.curve_section(draft, line)
    st.stop()
compared = compare_stored(chosen, base, draft.product, labels)
with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
    plan_menu.actions(draft, line, chosen, labels)
    with show.closing_popover("Compare methods", "compare.by_methods"):
        plan_menu.methods_form(draft, line, compared.plans[compared.base].plan)
    compare_views.download(compared, draft.product)
compare_views.decisive(compared)
with st.expander(f"All {len(compared.figures)} figures"):
    compare_views.table(compared)


def every_plan() -> None:
    """Show all plans of the line."""
    if st.toggle("With archived plans", key="compare.with_archived") != with_archived:
        session.rerun()
    plan_menu.plan_list(draft, listed)


@st.fragment
def tabs() -> None:
    """Show the open one of the tabs; opening another draws nothing else anew."""
    show.tabs(
        {
            "In words": lambda: compare_views.in_words(compared),
            f"Tasks that sit elsewhere ({len(compared.moved)})": (
                lambda: compare_views.moved_tasks(compared, draft.product)
            ),
            "Figures as charts": lambda: compare_views.figure_charts(compared),
            "Loads": lambda: compare_views.load_charts(compared, draft.product),
            "Stations against cycle": lambda: curve_views.curve_section(draft, line),
            "All plans of the line": every_plan,
        },
        "compare.tabs",
    )


tabs()
show.next_step("cards", "Cards")
