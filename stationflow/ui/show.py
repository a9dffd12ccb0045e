"""How findings, opened numbers, errors and headings look on every page."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import streamlit as st

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
TALL = 8  # more findings than this scroll in a box of their own


@contextmanager
def errors() -> Iterator[None]:
    """Show what Stationflow refuses as a sentence; bugs go on to the last door."""
    try:
        yield
    except StationflowError as problem:
        st.error(f"{plain(problem.message)}\n\n{plain(problem.hint)}")


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


def product_heading(title: str, question: str) -> Draft:
    """Show the page's heading with the open product; without one, say how to begin and stop."""
    draft = session.draft()
    if draft is None:
        heading(title, question)
        st.info("No product is open yet. Choose one of the demo products, or make your own.")
        st.page_link(
            "stationflow/ui/pages/products.py", label="Go to Products", icon=":material/arrow_back:"
        )
        st.stop()
    product = draft.product
    heading(
        title,
        question,
        f"**{plain(product.code)}** {plain(product.name)}  \n"
        f"draft, version {draft.version}, saved by {plain(draft.by)} "
        f"at {draft.at:%Y-%m-%d %H:%M} UTC",
    )
    return draft


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
    st.page_link(
        f"stationflow/ui/pages/{page}.py", label=f"Next: {label}", icon=":material/arrow_forward:"
    )


def tasks_without_line(product: Product) -> None:
    """Name the tasks that no table shows because their line is not there any more."""
    known = {line.name for line in product.lines}
    for name in dict.fromkeys(task.line for task in product.tasks if task.line not in known):
        count = len(product.tasks_of(name))
        said = f"{count} task is" if count == 1 else f"{count} tasks are"
        st.warning(
            f"{said} on the line “{plain(name)}”, and there is no such line; no table shows "
            "them, and nothing of them is lost. Add a line of this name on the Pace page, or "
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
