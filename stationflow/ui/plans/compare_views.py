"""Plans side by side on the Compare page: choice, table, words, moves, charts."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing.comparing import compare_stored
from stationflow.balancing.compare.plans_compared import Comparison
from stationflow.drawing.charts.compare_chart import PlanBar, figure_chart, loads_charts
from stationflow.files.exports.comparison_tables import (
    comparison_tables,
    figures_table,
    moved_table,
    words_table,
)
from stationflow.files.exports.sheets_out import tables_xlsx
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui import theme
from stationflow.ui.downloads import Offer, menu, table_offer
from stationflow.ui.text import plain
from stationflow.units import show_time

NEWEST = 3
"""So many plans are compared at first, beside the one in force."""
MOST_SENTENCES = 60
CHARTED = (
    "stations",
    "balance efficiency on the cycle time",
    "balance delay on the cycle time",
    "smoothness index on the cycle time",
)
SIDE_BY_SIDE = 2
PAIRING = (
    "Stations of two plans are paired by what they hold: each has at most one partner, and "
    "the pairs keep as many tasks as possible in place (on a tie, the nearer numbers). A task "
    "sits elsewhere when its stations are not partners."
)
ROW_PX = 35
TALL = 16
"""From so many sentences on they scroll in a box of their own."""
TALL_PX = 480


def choose_plans(draft: Draft, line: str, listed: Sequence[PlanState]) -> tuple[list[int], int]:
    """Let the engineer choose plans and the base plan; return their numbers."""
    by_id = {each.plan.plan_id: each for each in listed}
    key, base_key = _key("plans", draft, line), _key("base", draft, line)
    kept = st.session_state.get(f"{key}.kept")
    if key not in st.session_state:
        st.session_state[key] = _usual(listed) if kept is None else kept
    st.session_state[key] = [number for number in st.session_state[key] if number in by_id]
    plans, base = st.columns([4, 1.4], vertical_alignment="bottom")
    chosen = plans.multiselect(
        "Plans side by side",
        list(by_id),
        format_func=lambda number: plan_label(by_id[number]),
        key=key,
        placeholder="Choose plans",
        help="The names of plans not chosen stand under “All plans of the line” below.",
    )
    st.session_state[f"{key}.kept"] = chosen
    if st.session_state.get(base_key, st.session_state.get(f"{base_key}.kept")) in chosen:
        st.session_state.setdefault(base_key, st.session_state.get(f"{base_key}.kept"))
    elif chosen:
        in_force = [number for number in chosen if by_id[number].plan.in_force]
        st.session_state[base_key] = in_force[0] if in_force else min(chosen)
    else:
        st.session_state.pop(base_key, None)
    against = base.selectbox(
        "Measured against (base plan)",
        chosen,
        format_func=lambda number: plan_label(by_id[number]),
        key=base_key,
        help="Differences are taken from this plan.",
    )
    st.session_state[f"{base_key}.kept"] = against
    named = [(plan_label(by_id[number]), by_id[number].plan.name) for number in chosen]
    st.caption(" · ".join(f"**{label}**: {plain(name)}" for label, name in named))
    return chosen, against or 0


def add_to_choice(draft: Draft, line: str, numbers: Sequence[int]) -> None:
    """Compare further plans too, from the next run of the page on."""
    key = _key("plans", draft, line)
    before = st.session_state.get(key, st.session_state.get(f"{key}.kept")) or []
    chosen = list(dict.fromkeys([*before, *(number for number in numbers if number)]))
    st.session_state.pop(key, None)
    st.session_state[f"{key}.kept"] = chosen


def plan_label(each: PlanState) -> str:
    """Return a plan as it stands in a narrow box, where its name would be cut."""
    in_force = ", in force" if each.plan.in_force else ""
    return f"Plan {each.plan.plan_id}{in_force}"


def _usual(listed: Sequence[PlanState]) -> list[int]:
    """Return the plan in force and the newest others."""
    in_force = [each.plan.plan_id for each in listed if each.plan.in_force]
    newest = [each.plan.plan_id for each in listed if not each.plan.in_force][:NEWEST]
    return [*in_force, *newest]


def _key(field: str, draft: Draft, line: str) -> str:
    """Return the key of a widget of this page, which each line of each product has for itself."""
    return f"compare.{field}.{draft.product.code}.{line}"


def compared_plans(
    draft: Draft, listed: Sequence[PlanState], chosen: Sequence[int], base: int
) -> Comparison:
    """Return the chosen plans side by side."""
    by_id = {each.plan.plan_id: each for each in listed}
    return compare_stored(
        [by_id[number] for number in chosen], list(chosen).index(base), draft.product
    )


def table(compared: Comparison) -> None:
    """Show the figures: a column for each plan, its difference, and the best in words."""
    if compared.assumptions:
        said = [f":orange[:material/info:] {plain(each)}" for each in compared.assumptions]
        st.markdown("  \n".join(said))
    columns, config = _columns(compared)
    rows = []
    for figure in compared.figures:
        if figure.name == "name":  # stands in the list of plans, and is too long for a column
            continue
        row = {"Figure": figure.name[:1].upper() + figure.name[1:], "Best": figure.best_words}
        for at, heading in columns.items():
            row[heading] = figure.texts[at]
            if at != compared.base:
                difference = figure.differences[at] if figure.differences else None
                row[_difference_heading(compared, at)] = difference.text if difference else ""
        rows.append(row)
    st.dataframe(
        rows,
        hide_index=True,
        height=ROW_PX * (len(rows) + 1) + 3,
        column_config=config,
        key="compare.table",
        alt="Figures of the plans side by side, with their differences from the base plan",
    )


def _columns(compared: Comparison) -> tuple[dict[int, str], dict[str, Any]]:
    """Return the headings of the plans, and how the columns look."""
    headings = {
        at: f"{label} (base)" if at == compared.base else label
        for at, label in enumerate(compared.labels)
    }
    right = partial(st.column_config.TextColumn, alignment="right")
    config: dict[str, Any] = {
        "Figure": st.column_config.TextColumn(pinned=True, width=250),
        "Best": st.column_config.TextColumn(
            width=110, help="The plan or plans with the best value."
        ),
    }
    for at, heading in headings.items():
        config[heading] = right(width=175, help=compared.plans[at].plan.name)
        if at != compared.base:
            config[_difference_heading(compared, at)] = right(
                width=135,
                help=f"Difference from {compared.labels[compared.base]}.",
            )
    return headings, config


def _difference_heading(compared: Comparison, at: int) -> str:
    """Return the heading of a column of differences."""
    return f"{compared.labels[at]}, difference"


def in_words(compared: Comparison) -> None:
    """Say how each plan differs from the base plan."""
    base = compared.labels[compared.base]
    others = [at for at in range(len(compared.plans)) if at != compared.base]
    if not others:
        st.text("Choose a second plan to see how it differs.")
        return
    for column, at in zip(st.columns(len(others), gap="large"), others, strict=True):
        with column:
            st.markdown(f"**{plain(compared.labels[at])}** beside {plain(base)}")
            said = compared.differences[at]
            if said is None:
                st.text("There are no stations to compare.")
                continue
            _sentences("Asked", said.settings, "The same was asked.")
            _sentences("Product", said.inputs, "Nothing a plan depends on differs.")
            _sentences("Stations", said.stations, "")
    st.caption(PAIRING)


def _sentences(title: str, sentences: Sequence[str], nothing: str) -> None:
    """Show sentences under a small title."""
    shown = [plain(sentence) for sentence in sentences[:MOST_SENTENCES]] or [nothing]
    more = len(sentences) - MOST_SENTENCES
    if more > 0:
        shown.append(f"and {more} more, in the download")
    with st.container(height=TALL_PX if len(shown) > TALL else "content", border=False):
        st.markdown(f"{title}\n" + "\n".join(f"- {sentence}" for sentence in shown))


def moved_tasks(compared: Comparison, product: Product) -> None:
    """Show the tasks that do not sit at the same station, with their station in each plan."""
    if not compared.moved:
        st.text("No task sits elsewhere.")
        return
    tasks = {task.number: task for task in product.tasks}
    rows = []
    for moved in compared.moved:
        task = tasks.get(moved.task)
        row = {
            "Task": moved.task,
            "Name": task.name if task else "",
            "Time": show_time(task.time_ms, product.time_unit) if task else "",
        }
        for at, label in enumerate(compared.labels):
            row[label] = _place(moved.stations[at], is_moved=moved.moved[at])
        rows.append(row)
    config: dict[str, Any] = {
        "Task": st.column_config.TextColumn(width="small"),
        "Time": st.column_config.TextColumn(width="small", alignment="right"),
    }
    for at, label in enumerate(compared.labels):
        config[label] = st.column_config.TextColumn(
            f"{label} (base)" if at == compared.base else label, width="small"
        )
    st.dataframe(
        rows,
        hide_index=True,
        height=ROW_PX * min(len(rows) + 1, 16) + 3,
        column_config=config,
        key="compare.moved",
        alt="Tasks that sit elsewhere, with their station in each plan",
    )
    st.caption(PAIRING)


def _place(station: int | None, *, is_moved: bool) -> str:
    """Return where a task sits, in words."""
    if station is None:
        return "not in the plan"
    return f"station {station}, moved" if is_moved else f"station {station}"


def figure_charts(compared: Comparison) -> None:
    """Show the main figures as small charts side by side."""
    figures = {figure.name: figure for figure in compared.figures}
    for column, name in zip(st.columns(len(CHARTED)), CHARTED, strict=True):
        figure = figures[name]
        bars = [
            PlanBar(
                label=label,
                value=figure.values[at],
                words=figure.texts[at],
                is_best=label in figure.best and len(figure.best) < len(compared.plans),
            )
            for at, label in enumerate(compared.labels)
        ]
        with column:
            st.vega_lite_chart(
                figure_chart(name[:1].upper() + name[1:], bars, inks=theme.chart_inks()),
                key=f"compare.chart.{name.replace(' ', '_')}",
            )


def load_charts(compared: Comparison, product: Product) -> None:
    """Show the loads of each plan, all on one time axis."""
    pairs = [(each.label, each.plan.result) for each in compared.plans]
    charts = loads_charts(pairs, product.time_unit, inks=theme.chart_inks())
    for first in range(0, len(charts), SIDE_BY_SIDE):
        columns = st.columns(SIDE_BY_SIDE)
        for at, column in enumerate(columns, first):
            if at < len(charts):
                with column:
                    st.vega_lite_chart(charts[at], key=f"compare.loads.{at}")


def download(compared: Comparison, product: Product) -> None:
    """Offer the comparison as files."""
    name = (product.code, compared.plans[0].plan.line)
    whole = Offer(
        title="All of the comparison",
        name=(*name, "comparison"),
        made={"xlsx": lambda: tables_xlsx(comparison_tables(compared, product))},
    )
    menu(
        "compare.download",
        [
            whole,
            table_offer("Figures", (*name, "figures"), lambda: figures_table(compared, product)),
            table_offer("In words", (*name, "words"), lambda: words_table(compared, product)),
            table_offer(
                "Tasks that sit elsewhere", (*name, "moved"), lambda: moved_table(compared, product)
            ),
        ],
    )
