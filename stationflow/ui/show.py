"""How findings, opened numbers, errors and headings look on every page."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import streamlit as st

from stationflow.errors import StationflowError
from stationflow.model import Explained, Finding, Severity
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.text import plain

_ICONS = {Severity.ERROR: "⛔", Severity.WARNING: "⚠", Severity.NOTE: "·"}
_WORDS = {Severity.ERROR: "errors", Severity.WARNING: "warnings", Severity.NOTE: "notes"}


@contextmanager
def errors() -> Iterator[None]:
    """Show what Stationflow refuses as a sentence; bugs go on to the last door."""
    try:
        yield
    except StationflowError as problem:
        st.error(f"{plain(problem.message)}\n\n{plain(problem.hint)}")


def heading(title: str, question: str) -> None:
    """Show the page's name and the question it answers."""
    st.title(title, anchor=False)
    st.caption(question)
    if said := session.take_notice():
        st.success(plain(said))


def product_heading(title: str, question: str) -> Draft:
    """Show the page's heading with the open product; without one, say how to begin and stop."""
    draft = session.draft()
    heading(title, question)
    if draft is None:
        st.info("No product is open yet. Choose one of the demo products, or make your own.")
        st.page_link(
            "stationflow/ui/pages/products.py", label="Go to Products", icon=":material/arrow_back:"
        )
        st.stop()
    product = draft.product
    st.markdown(
        f"**{plain(product.code)}** {plain(product.name)} · "
        f"version {draft.version} · draft · last saved by {plain(draft.by)} "
        f"at {draft.at:%Y-%m-%d %H:%M} UTC"
    )
    return draft


def findings(found: Sequence[Finding], *, nothing: str = "Nothing to cure.") -> None:
    """Show findings as a table, errors first."""
    if not found:
        st.success(nothing)
        return
    counts = [
        f"{sum(f.severity == s for f in found)} {_WORDS[s]}"
        for s in Severity
        if any(f.severity == s for f in found)
    ]
    st.markdown(f"**Findings:** {', '.join(counts)}")
    st.dataframe(
        [
            {
                "": _ICONS[f.severity],
                "Severity": f.severity.value,
                "Where": f.where,
                "What": f.message,
                "What to do": f.hint,
            }
            for f in found
        ],
        hide_index=True,
        column_config={
            "": st.column_config.TextColumn(width=30),
            "Severity": st.column_config.TextColumn(width=70),
            "Where": st.column_config.TextColumn(width="small"),
            "What": st.column_config.TextColumn(width="large"),
            "What to do": st.column_config.TextColumn(width="large"),
        },
        height="content" if len(found) < 8 else 300,
        row_height=32,
        alt="Findings, errors first",
    )


def number(explained: Explained, decimals: int = 1) -> str:
    """Return an opened number as text with its unit."""
    if explained.value is None:
        return "not computable"
    return f"{explained.value:,.{decimals}f} {explained.unit}".replace(",", " ").strip()


def opened(numbers: Sequence[Explained]) -> None:
    """Show how numbers came about: formula, values put in, source, other definition."""
    for explained in numbers:
        st.markdown(f"**{plain(explained.name)}**: {plain(number(explained, 3))}")
        lines = [explained.formula, explained.worked, f"Source: {explained.source}"]
        if explained.other:
            lines.append(f"Other definition: {explained.other}")
        st.text("\n".join(line for line in lines if line))


def next_step(page: str, label: str) -> None:
    """Point to the page that comes next."""
    st.divider()
    st.page_link(
        f"stationflow/ui/pages/{page}.py", label=f"Next: {label}", icon=":material/arrow_forward:"
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
        default=kept if kept in names else names[0],
        format_func=lambda name: plain(labels[name]),
        key=key,
    )
    if chosen is None:
        chosen = kept if kept in names else names[0]
    st.session_state[session.LINE] = chosen
    return chosen
