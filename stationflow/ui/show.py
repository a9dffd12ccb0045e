"""How findings, opened numbers, errors and headings look on every page."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import streamlit as st

from stationflow.errors import StationflowError
from stationflow.model import Explained, Finding, Product, Severity
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
    return f"{explained.value:,.{decimals}f} {explained.unit}".replace(",", " ").strip()


def opened(numbers: Sequence[Explained]) -> None:
    """Show how numbers came about: formula, values put in, source, other definition."""
    for explained in numbers:
        name, value = st.columns([1, 3])
        name.markdown(f"**{plain(explained.name)}**  \n{plain(number(explained, 3))}")
        rows = [plain(explained.formula), plain(explained.worked)]
        rows.append(f"*Source: {plain(explained.source)}*")
        if explained.other:
            rows.append(f"*Other definition: {plain(explained.other)}*")
        value.markdown("  \n".join(row for row in rows if row))


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
