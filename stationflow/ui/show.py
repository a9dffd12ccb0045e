"""How findings, opened numbers, errors and headings look on every page."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import streamlit as st

from stationflow.actions.opening.starting import FIRST_DEMO
from stationflow.actions.showing.work_state import work_state
from stationflow.actions.trouble import report_trouble
from stationflow.errors import StationflowError
from stationflow.model import Explained, Finding, Product, Severity
from stationflow.model.explanation import key_word
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.text import plain

_ICONS = {
    Severity.ERROR: ":red[:material/error:]",
    Severity.WARNING: ":orange[:material/warning:]",
    Severity.NOTE: ":gray[:material/info:]",
}
LONGEST_NAME = 90  # characters of a product's name in the heading, which keeps two lines
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


def heading(title: str, question: str, about: str = "") -> None:
    """Show the page's name, the question it answers, and what it is about, in one row."""
    left, right = st.columns([1, 2], vertical_alignment="bottom")
    with left:
        st.title(title, anchor=False)
        st.caption(question)
    if about:
        right.markdown(about, text_alignment="right")
    if said := session.take_notice():
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
    product = draft.product
    name = product.name if len(product.name) <= LONGEST_NAME else f"{product.name[:LONGEST_NAME]}…"
    heading(
        title,
        question,
        f"**{plain(product.code)}** {plain(name)}  \n"
        f"draft, version {draft.version}, saved by {plain(draft.by)} "
        f"at {draft.at:%Y-%m-%d %H:%M} UTC",
    )
    return draft


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


def findings(found: Sequence[Finding], *, nothing: str = "Nothing to cure.") -> None:
    """Show findings, errors first, each with its place and what to do."""
    if not found:
        st.success(nothing)
        return
    counts = [(s, sum(f.severity == s for f in found)) for s in Severity]
    st.markdown(", ".join(f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts if n))
    with st.container(height=340 if len(found) > TALL else "content", border=len(found) > TALL):
        for severity in Severity:
            rows = [_line(f) for f in found if f.severity == severity]
            if rows:
                st.markdown("\n".join(rows))


def _line(finding: Finding) -> str:
    """Return a finding as one item of a list."""
    where, said, hint = plain(finding.where), plain(finding.message), plain(finding.hint)
    return f"- {_ICONS[finding.severity]} **{finding.severity}** · **{where}**: {said} *{hint}*"


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
    """Return how a number came about as Markdown."""
    rows = [plain(explained.formula), plain(explained.worked)]
    if explained.check:
        is_good = explained.check.startswith("Agrees")
        icon = ":green[:material/check:]" if is_good else ":red[:material/error:]"
        rows.append(f"{icon} {plain(explained.check)}")
    rows.append(f":gray[Source: {plain(explained.source)}]")
    if explained.other:
        rows.append(f":gray[Elsewhere: {plain(explained.other)}]")
    return "  \n".join(row for row in rows if row)


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberBox:
    """One figure of a page.

    Attributes
    ----------
    title
        What stands above it: "Takt time".
    text
        The figure as it is shown: "60.0 s".
    numbers
        What opens when it is pressed; empty: it cannot be opened.
    """

    title: str
    text: str
    numbers: Sequence[Explained] = ()


def number_row(boxes: Sequence[NumberBox], key: str, *, columns: int, small: bool = False) -> None:
    """Show figures side by side, each a box that opens into the way it came about.

    Parameters
    ----------
    boxes
        The figures.
    key
        Name of the row, "balance.figures".
    columns
        How many stand side by side.
    small
        Whether they are of second rank and smaller.
    """
    for start in range(0, len(boxes), columns):
        places = st.columns(columns, gap="small")
        for place, box in zip(places, boxes[start : start + columns], strict=False):
            with place:
                number_box(box, f"{key}.{key_word(box.title)}", small=small)


def number_box(box: NumberBox, key: str, *, small: bool = False) -> None:
    """Show one figure; pressing it anywhere, or Enter on it, opens how it came about."""
    with st.container(border=True, key=f"number-{'small-' if small else ''}{key_word(key)}"):
        st.metric(plain(box.title), box.text)
        if box.numbers:
            with st.popover(f"How {plain(box.title)} comes about", width="stretch"):
                st.markdown("\n\n".join(_in_popover(explained) for explained in box.numbers))


def _in_popover(explained: Explained) -> str:
    """Return one number as a paragraph."""
    name, value = plain(explained.name), plain(number(explained, 3))
    return f"**{name}: {value}**  \n{_way(explained)}"


def next_step(page: str, label: str) -> None:
    """Point to the page that comes next."""
    st.divider()
    page_link(page, f"Next: {label}")


def tasks_without_line(product: Product) -> None:
    """Name the tasks that no table shows because their line is not there any more."""
    known = {line.name for line in product.lines}
    for name in dict.fromkeys(task.line for task in product.tasks if task.line not in known):
        count = len(product.tasks_of(name))
        said, them = (f"{count} tasks are", "them") if count > 1 else ("1 task is", "it")
        st.warning(
            f"{said} on the line “{plain(name)}”, and there is no such line; no table shows "
            f"{them}, and nothing of {them} is lost. Add a line of this name on the Pace page, or "
            "press Undo."
        )


def line_choice(draft: Draft, key: str) -> str:
    """Let the engineer choose a line; the choice holds on every page."""
    names = [line.name for line in draft.product.lines]
    labels = {line.name: line.label for line in draft.product.lines}
    if not names:
        st.info("The product has no line yet. Add one on the Pace page.")
        st.stop()
    kept = st.session_state.get(session.LINE)
    if len(names) == 1:
        return names[0]
    chosen = st.segmented_control(
        "Line",
        names,
        width="content",
        default=kept if kept in names else names[0],
        format_func=lambda name: plain(labels[name]),
        key=key,
    )
    if chosen is None:
        chosen = kept if kept in names else names[0]
    st.session_state[session.LINE] = chosen
    return chosen
