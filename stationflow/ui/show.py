"""How findings, opened numbers, errors and headings look on every page."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.opening.starting import FIRST_DEMO
from stationflow.actions.showing.work_state import missing_next, work_state
from stationflow.actions.trouble import report_trouble
from stationflow.balancing.time_words import count
from stationflow.errors import StationflowError
from stationflow.model import Explained, Finding, Product, Severity
from stationflow.model.explanation import key_word
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.text import plain

COLOURS = {Severity.ERROR: "red", Severity.WARNING: "orange", Severity.NOTE: "gray"}
ICONS = {
    severity: f":{COLOURS[severity]}[:material/{icon}:]"
    for severity, icon in zip(Severity, ("error", "warning", "info"), strict=True)
}
LONGEST_NAME = 90  # characters of a product's name in the heading, which keeps two lines
TALL_TABLE, TALL_TABLE_PX = 16, 560  # so many rows of a table scroll
small = partial(st.column_config.TextColumn, width="small")
right = partial(st.column_config.TextColumn, alignment="right")
"""Columns of a table: narrow ones, and numbers that are shown as text."""
TALL = 8  # more findings than this scroll in a box of their own


@contextmanager
def errors() -> Iterator[None]:
    """Show what Stationflow refuses as a sentence; bugs go on to the last door."""
    try:
        yield
    except StationflowError as problem:
        st.error(f"{plain(problem.message)}\n\n{plain(problem.hint)}")


@contextmanager
def last_door() -> Iterator[None]:
    """Show every error as a sentence, a bug with the number of its trace in the log."""
    try:
        with errors():
            yield
    except Exception as problem:
        # By these Streamlit itself stops or starts a run.
        if type(problem).__module__.startswith("streamlit.runtime.scriptrunner"):
            raise
        st.error(plain(report_trouble(problem)))


def told(problem: Exception) -> bool:
    """Show an error that no page could: of a callback, or of a part that is drawn by itself."""
    with last_door():
        raise problem
    return True


def heading(title: str, question: str, about: str = "") -> None:
    """Show the page's name, the question it answers, and what it is about, in one row."""
    left, right = st.columns([1, 2], vertical_alignment="bottom")
    with left:
        st.title(title, anchor=False)
        st.caption(question)
    if about:
        right.markdown(about, text_alignment="right")
    if said := st.session_state.pop(session.NOTICE, ""):
        st.toast(plain(said), icon=":material/check:", duration="long")


def product_heading(title: str, question: str, teaching: str) -> Draft:
    """Show the page's heading with the open product; without one, say how to begin and stop.

    `teaching` says in a sentence or two what is done on the page.
    """
    draft = session.draft()
    if draft is None:
        heading(title, question)
        st.text(teaching)
        st.info("No product is open yet. Choose one of the demo products, or make your own.")
        first_steps()
        st.stop()
    damage(draft)
    product = draft.product
    name = product.name if len(product.name) <= LONGEST_NAME else f"{product.name[:LONGEST_NAME]}…"
    about = f"**{plain(product.code)}** {plain(name)}  \ndraft, version {draft.version}, saved by "
    heading(title, question, f"{about}{plain(draft.by)} at {draft.at:%Y-%m-%d %H:%M} UTC")
    return draft


def damage(draft: Draft) -> None:
    """Say what is kept of the product and cannot be read."""
    for problem in session.store().damage(draft.product.code):
        st.warning(f"{plain(problem.message)} {plain(problem.hint)}")


def first_steps(*, with_list: bool = True) -> None:
    """Offer the ways to a first product: the small demo product, the list, a spreadsheet."""
    with st.container(horizontal=True, vertical_alignment="center"):
        if any(row.code == FIRST_DEMO for row in session.store().products()):
            st.button(
                f"Open the desk fan {FIRST_DEMO}, a small demo product",
                type="primary",
                on_click=session.open_product,
                args=(FIRST_DEMO,),
                key="show.open_demo",
            )
        if with_list:
            page_link("products", "Choose or make a product", ":material/inventory_2:")
        page_link("importing", "Import a spreadsheet", ":material/upload_file:")


def page_link(page: str, label: str, icon: str = ":material/arrow_forward:") -> None:
    """Show a link to another page of the app, as wide as its words."""
    st.page_link(f"stationflow/ui/pages/{page}.py", label=label, icon=icon, width="content")


def to_do_first(draft: Draft, page: str) -> None:
    """Link to the pages before this one on which something is left to do, and say what."""
    states = work_state(session.opened(draft))
    before = states[: next(i for i, state in enumerate(states) if state.page == page)]
    for state in before:
        if not state.is_done:
            page_link(state.page, f"**{state.page.capitalize()}:** {plain(state.said)}")


def to_do_next(draft: Draft, page: str) -> None:
    """Say in one line what is missing next, here or on the page it links to."""
    state = missing_next(session.opened(draft), page)
    if state is None:
        page_link("cards", "**Nothing is missing.** The cards can be printed.")
    elif state.page == page:
        st.markdown(f":material/arrow_downward: **Missing next:** {plain(state.said)}")
    else:
        where = state.page.capitalize()
        page_link(state.page, f"**Missing next, on the {where} page:** {plain(state.said)}")


def findings(found: Sequence[Finding], *, nothing: str = "Nothing to cure.") -> None:
    """Show findings, errors first, each with its place and what to do."""
    if not found:
        st.success(nothing)
        return
    st.markdown(how_many(found))
    with st.container(height=340 if len(found) > TALL else "content", border=len(found) > TALL):
        for severity in Severity:
            rows = [_line(f) for f in found if f.severity == severity]
            if rows:
                st.markdown("\n".join(rows))


def how_many(found: Sequence[Finding], where: str = "") -> str:
    """Return how many findings of each severity there are; empty: none."""
    counts = Counter(finding.severity for finding in found)
    said = ", ".join(count(counts[s], s) for s in Severity if counts[s])
    worst = next((ICONS[s] for s in Severity if counts[s]), "")
    return f"{worst} {said}. {where}" if where and said else said


def _line(finding: Finding) -> str:
    where, said, hint = plain(finding.where), plain(finding.message), plain(finding.hint)
    return f"- {ICONS[finding.severity]} **{finding.severity}** · **{where}**: {said} *{hint}*"


def tabs(drawn: Mapping[str, Callable[[], object]], key: str) -> None:
    """Show tabs; what stands in the open one is drawn, and nothing else."""
    named = st.tabs(list(drawn), key=key, on_change="rerun")
    for tab, draw in zip(named, drawn.values(), strict=True):
        if tab.open:
            with tab:
                draw()


def table(
    rows: Sequence[Mapping[str, Any]],
    alt: str,
    columns: Mapping[str, Any] | None = None,
    **look: Any,
) -> None:
    """Show rows as a table; many of them scroll. `look` is as for `st.dataframe`."""
    look["height"] = look.get("height") or ("content" if len(rows) < TALL_TABLE else TALL_TABLE_PX)
    st.dataframe(rows, hide_index=True, column_config=columns, alt=alt, **look)


def number(explained: Explained, decimals: int = 1) -> str:
    """Return an opened number as text with its unit."""
    if explained.value is None:
        return "not computable"
    if not explained.unit and explained.value == int(explained.value):
        return f"{explained.value:,.0f}".replace(",", " ")
    return f"{explained.value:,.{decimals}f} {explained.unit}".replace(",", " ").strip()


def percent(share: float) -> str:
    """Return a share as text, with the space that stands before a unit everywhere else."""
    return f"{share * 100:.1f} %"


def opened(numbers: Sequence[Explained]) -> None:
    """Show how numbers came about: formula, values put in, cross-check, source, other meaning."""
    for explained in numbers:
        name, way = st.columns([1, 3])
        where = f"  \n:gray[{plain(explained.where)}]" if explained.where else ""
        name.markdown(f"**{plain(explained.name)}**  \n{plain(number(explained, 3))}{where}")
        way.markdown(_way(explained))


def _way(explained: Explained) -> str:
    rows = [plain(explained.formula), plain(explained.worked)]
    if explained.check:
        is_good = explained.check.startswith("Agrees")
        icon = ":green[:material/check:]" if is_good else ":red[:material/error:]"
        rows.append(f"{icon} {plain(explained.check)}")
    rows.append(f":gray[Source: {plain(explained.source)}]")
    if explained.other:
        rows.append(f":gray[Elsewhere: {plain(explained.other)}]")
    return "  \n".join(row for row in rows if row)


@dataclass(frozen=True, slots=True)
class NumberBox:
    """One figure of a page."""

    title: str
    text: str
    numbers: Sequence[Explained] = ()  # what opens when it is pressed


def number_row(boxes: Sequence[NumberBox], key: str, *, columns: int, small: bool = False) -> None:
    """Show figures side by side; each opens into the way it came about, by mouse or Enter."""
    for start in range(0, len(boxes), columns):
        places = st.columns(columns, gap="small")
        for place, box in zip(places, boxes[start : start + columns], strict=False):
            name = key_word(f"{key}.{key_word(box.title)}")
            look = f"number-{'small-' if small else ''}{name}"
            with place, st.container(border=True, key=look):
                st.metric(plain(box.title), box.text)
                if box.numbers:
                    with st.popover(f"How {plain(box.title)} comes about", width="stretch"):
                        st.markdown(
                            "\n\n".join(_in_popover(explained) for explained in box.numbers)
                        )


def _in_popover(explained: Explained) -> str:
    """Return one number as a paragraph."""
    name, value = plain(explained.name), plain(number(explained, 3))
    return f"**{name}: {value}**  \n{_way(explained)}"


def closing_popover(label: str, key: str) -> Any:
    """Return a popover that `close_popover` closes when the page is drawn next."""
    if st.session_state.pop(f"{key}.close", False):
        st.session_state[key] = False
    return st.popover(label, key=key, on_change="rerun")


def close_popover(key: str) -> None:
    """Close a popover whose choice has been made."""
    st.session_state[f"{key}.close"] = True


def archive_button(is_archived: bool, key: str, **look: Any) -> bool:
    """Show the button that takes something out of a list or puts it back; return the press."""
    label, name = ("Bring back", "bring_back") if is_archived else ("Archive", "archive")
    return st.button(label, key=f"{key}.{name}", **look)


def next_step(page: str, label: str) -> None:
    """Point to the page that comes next."""
    st.divider()
    page_link(page, f"Next: {label}")


def tasks_without_line(product: Product) -> None:
    """Name the tasks that no table shows because their line is not there any more."""
    known = {line.name for line in product.lines}
    for name in dict.fromkeys(task.line for task in product.tasks if task.line not in known):
        tasks = len(product.tasks_of(name))
        said, them = (f"{tasks} tasks are", "them") if tasks > 1 else ("1 task is", "it")
        st.warning(
            f"{said} on the line “{plain(name)}”, and there is no such line; no table shows "
            f"{them}, and nothing of {them} is lost. Add a line of this name on the Pace page, or "
            "press Undo."
        )


def line_choice(draft: Draft, key: str) -> str:
    """Let the engineer choose a line; the choice holds on every page."""
    names = [line.name for line in draft.product.made_lines]
    labels = {line.name: line.label for line in draft.product.lines}
    if not names:
        st.info("The product has no line yet. Add one on the Pace page.")
        st.stop()
    kept: str | None = st.session_state.get(session.LINE)
    if len(names) == 1:
        return names[0]
    usual = kept if kept in names else names[0]
    chosen = st.segmented_control(
        "Line",
        names,
        width="content",
        default=usual,
        format_func=lambda name: plain(labels[name]),
        key=key,
    )
    st.session_state[session.LINE] = chosen or usual
    return chosen or usual
