"""Plans side by side on the Compare page: choice, table, words, moves, charts."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.balancing.compare.comparison import DECISIVE, Figure
from stationflow.balancing.compare.plans_compared import Comparison
from stationflow.drawing.charts.compare_chart import PlanBar, figure_chart, loads_charts
from stationflow.files.exports.comparison_tables import (
    comparison_tables,
    figures_table,
    moved_table,
    words_table,
)
from stationflow.model import Product
from stationflow.model.schema.cells import capital
from stationflow.storage import Draft
from stationflow.ui import show, theme
from stationflow.ui.downloads import menu, table_offer, workbook_offer
from stationflow.ui.text import plain
from stationflow.units import show_time

NEWEST = 3
"""So many plans are compared at first, beside the one in force."""
MOST_SENTENCES = 60
CHARTED = (
    "stations",
    "balance efficiency on the cycle time",
    "balance delay on the cycle time",
    "smoothness index",
)
SIDE_BY_SIDE = 2
PAIRING = (
    "Stations of two plans are paired by what they hold: each has at most one partner, and "
    "the pairs keep as many tasks as possible in place (on a tie, the nearer numbers). A task "
    "sits elsewhere when its stations are not partners."
)
DECISIVE_PX = 235
BEST = "\N{CHECK MARK} "
STALE = {
    "up to date": "Made from older data",
    "holds as the product is now": "Does not hold as the product is now",
}
TALL, TALL_PX = 16, 480
"""From so many sentences on they scroll in a box of their own."""


def choose_plans(
    draft: Draft, line: str, listed: Sequence[PlanState], labels: Mapping[int, str]
) -> tuple[list[PlanState], int]:
    """Let the engineer choose plans by their labels; return them and the position of the base."""
    by_id = {each.plan.plan_id: each for each in listed}
    in_force = [number for number, each in by_id.items() if each.plan.in_force]
    key, base_key = _key("plans", draft, line), _key("base", draft, line)
    kept = _remembered(key)
    if kept is None:
        kept = [*in_force, *[number for number in by_id if number not in in_force][:NEWEST]]
    st.session_state[key] = [number for number in kept if number in by_id]
    plans, base = st.columns([4, 1.4], vertical_alignment="bottom")
    chosen = plans.multiselect(
        "Plans side by side",
        list(by_id),
        format_func=labels.__getitem__,
        key=key,
        placeholder="Choose plans",
        help="Names and numbers of the plans stand under “All plans of the line” below.",
    )
    st.session_state[f"{key}.kept"] = chosen
    against = _remembered(base_key)
    if against not in chosen:
        usual = [number for number in chosen if number in in_force]
        against = usual[0] if usual else min(chosen, default=None)
    st.session_state[base_key] = against
    against = base.selectbox(
        "Measured against (base plan)",
        chosen,
        format_func=labels.__getitem__,
        key=base_key,
        help="Differences are taken from this plan.",
    )
    st.session_state[f"{base_key}.kept"] = against
    return [by_id[number] for number in chosen], chosen.index(against) if chosen else 0


def add_to_choice(draft: Draft, line: str, numbers: Sequence[int]) -> None:
    """Compare further plans too, from the next run of the page on."""
    key = _key("plans", draft, line)
    chosen = dict.fromkeys([*(_remembered(key) or []), *(number for number in numbers if number)])
    st.session_state.pop(key, None)
    st.session_state[f"{key}.kept"] = list(chosen)


def _key(field: str, draft: Draft, line: str) -> str:
    """Return the key of a widget of this page, which each line of each product has for itself."""
    return f"compare.{field}.{draft.product.code}.{line}"


def _remembered(key: str) -> Any:
    """Return what was chosen in a widget, also after the page was left."""
    return st.session_state.get(key, st.session_state.get(f"{key}.kept"))


def decisive(compared: Comparison) -> None:
    """Show the figures that decide, with how far each is from the base plan's."""
    _first_to_know(compared)
    figures = {figure.name: figure for figure in compared.figures}
    limits = figures["limit of a station"]
    rows = []
    for name in DECISIVE:
        row = {"Figure": capital(name)}
        for at in range(len(compared.plans)):
            said = _beside_base(compared, figures[name], at)
            is_of_limit = name == "cycle time" and limits.values[at] is not None
            row[compared.labels[at]] = f"{said}, limit {limits.texts[at]}" if is_of_limit else said
        rows.append(row)
    if not all(each.holds for each in compared.plans):
        held = {each.label: "yes" if each.holds else "does not hold" for each in compared.plans}
        rows.insert(0, {"Figure": "Holds as the product is now", **held})
    show.table(
        rows,
        "The figures that decide, with their differences from the base plan",
        _columns(compared, DECISIVE_PX),
        height="content",
        key="compare.decisive",
    )
    base = plain(compared.labels[compared.base])
    best = f"{BEST.strip()}: the best value of plans that hold."
    st.caption(f"In brackets: the difference from {base}. {best}")


def _beside_base(compared: Comparison, figure: Figure, at: int) -> str:
    """Return a figure of one plan: whether it is the best, and how far it is from the base."""
    is_best = compared.labels[at] in figure.best and len(figure.best) < len(compared.plans)
    difference = figure.differences[at] if figure.differences else None
    far = f" ({difference.short})" if difference and difference.absolute else ""
    return f"{BEST if is_best else ''}{figure.texts[at]}{far}"


def _first_to_know(compared: Comparison) -> None:
    """Say what the plans do not share, and which no longer fit the product."""
    said = list(compared.assumptions)
    for name, yes in (("up to date", "yes"), ("holds as the product is now", "yes")):
        texts = next((f.texts for f in compared.figures if f.name == name), ())
        others = [label for label, text in zip(compared.labels, texts, strict=False) if text != yes]
        said += [f"{STALE[name]}: {'; '.join(others)}."] if others else []
    if said:
        st.markdown("  \n".join(f":orange[:material/info:] {plain(each)}" for each in said))


def _columns(compared: Comparison, width: int) -> dict[str, Any]:
    """Return how the columns of the figures look, one for each plan."""
    columns: dict[str, Any] = {"Figure": st.column_config.TextColumn(pinned=True, width=250)}
    for at, each in enumerate(compared.plans):
        columns[compared.labels[at]] = show.right(width=width, help=each.plan.name)
    return columns


def table(compared: Comparison) -> None:
    """Show all figures: a column for each plan, its difference, and the best in words."""
    # The name stands in the list of plans, and is too long for a column.
    figures = [figure for figure in compared.figures if figure.name != "name"]
    rows = [{"Figure": capital(figure.name), "Best": figure.best_words} for figure in figures]
    columns = _columns(compared, 215)
    columns["Best"] = st.column_config.TextColumn(help="The plan or plans with the best value.")
    for at, label in enumerate(compared.labels):
        heading = compared.labels[at]
        for row, figure in zip(rows, figures, strict=True):
            row[heading] = figure.texts[at]
        if at == compared.base:
            continue
        heading, base = f"{label}, difference", compared.labels[compared.base]
        columns[heading] = show.right(width=135, help=f"Difference from {base}.")
        for row, figure in zip(rows, figures, strict=True):
            difference = figure.differences[at] if figure.differences else None
            row[heading] = difference.text if difference else ""
    show.table(
        rows,
        "Figures of the plans side by side, with their differences from the base plan",
        columns,
        height="content",
        key="compare.table",
    )


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
    columns: dict[str, Any] = {"Task": show.small(), "Time": show.right(width="small")}
    for at, label in enumerate(compared.labels):
        columns[label] = show.small(compared.labels[at])
    show.table(
        rows,
        "Tasks that sit elsewhere, with their station in each plan",
        columns,
        key="compare.moved",
    )
    st.caption(PAIRING)


def _place(station: int | None, *, is_moved: bool) -> str:
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
                figure_chart(capital(name), bars, inks=theme.chart_inks()),
                key=f"compare.chart.{name.replace(' ', '_')}",
            )


def load_charts(compared: Comparison, product: Product) -> None:
    """Show the loads of each plan, all on one time axis."""
    pairs = [(each.label, each.plan.result) for each in compared.plans]
    charts = loads_charts(pairs, product.time_unit, inks=theme.chart_inks())
    for first in range(0, len(charts), SIDE_BY_SIDE):
        places = st.columns(SIDE_BY_SIDE)
        for at, chart in enumerate(charts[first : first + SIDE_BY_SIDE]):
            with places[at]:
                st.vega_lite_chart(chart, key=f"compare.loads.{first + at}")


def download(compared: Comparison, product: Product) -> None:
    """Offer the comparison as files."""
    name = (product.code, compared.plans[0].plan.line)
    made = (
        ("Figures", "figures", figures_table),
        ("In words", "words", words_table),
        ("Tasks that sit elsewhere", "moved", moved_table),
    )
    whole = workbook_offer(
        "All of the comparison",
        (*name, "comparison"),
        lambda: comparison_tables(compared, product),
    )
    tables = [table_offer(t, (*name, n), partial(make, compared, product)) for t, n, make in made]
    menu("compare.download", [whole, *tables])
