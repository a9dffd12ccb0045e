"""What the columns of a sheet hold, chosen beside the sheet as it stands."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from stationflow.actions.importing import bringing_in
from stationflow.files.foreign.column_mapping import (
    TARGETS,
    TIME_TARGETS,
    MappedColumn,
    Target,
)
from stationflow.files.foreign.columns.headings import column_samples
from stationflow.files.foreign.foreign_sheet import column_letters, stood
from stationflow.ui import session
from stationflow.ui.imports.import_job import ImportJob, kept, unit_label
from stationflow.ui.text import plain
from stationflow.units import TimeUnit

HEIGHT = 430
SHOWN_ROWS = 60
SHOWN_COLUMNS = 40
WIDTHS = (3.0, 4.0, 4.0, 3.4)
HEADING_FILL = "background-color: rgba(11, 92, 122, 0.18); font-weight: bold"
LONGEST_SAMPLES = 24  # characters
UNSAID = {"unit": None, "weight_unit": ""}


def columns(job: ImportJob) -> None:
    """Show what each column holds, to be chosen, beside the sheet itself."""
    chosen, standing = st.columns([6, 5], gap="medium")
    with chosen:
        _from_where(job)
        with st.container(height=HEIGHT, border=True, key="import-columns"):
            _table(job)
    with standing:
        _as_it_stands(job)


def _from_where(job: ImportJob) -> None:
    """Say whether the mapping was guessed or remembered."""
    columns = job.remembered
    with st.container(horizontal=True, vertical_alignment="center", height=40, border=False):
        if columns is None:
            st.markdown("**What the columns hold**, guessed from headings and contents")
            return
        st.markdown(
            f"**What the columns hold**, mapping remembered from {plain(columns.file_name)}, "
            f"{columns.at:%Y-%m-%d} by {plain(columns.by)}",
            width="stretch",
        )
        if st.button(
            "Guess again", key="import.forget", type="tertiary", icon=":material/restart_alt:"
        ):
            job.take_columns(
                bringing_in.forget_columns(
                    session.store(), job.sheet, job.mapping, by=session.author()
                )
            )
            session.rerun()


def _table(job: ImportJob) -> None:
    """Show one row for each column of the sheet that holds anything."""
    heads = st.columns(WIDTHS, gap="small")
    for head, word in zip(heads, ("Column", "First values", "Holds", ""), strict=True):
        head.caption(word)
    for column in job.mapping.columns:
        samples = column_samples(job.sheet, job.mapping, column.position)
        if samples or column.heading:
            _row(job, column, samples)


def _row(job: ImportJob, column: MappedColumn, samples: tuple[str, ...]) -> None:
    """Show one column: its heading, first values, and what it holds."""
    place = column_letters(column.position)
    name, values, target, more = st.columns(WIDTHS, gap="small", vertical_alignment="center")
    hidden = ", hidden" if column.position in job.sheet.hidden_columns else ""
    name.markdown(f"**{plain(column.heading) or '(no heading)'}**  :gray[{place}{hidden}]")
    values.markdown(f":gray[{plain(_short(samples))}]")
    target.selectbox(
        f"Column {place} holds",
        TARGETS[job.mapping.kind],
        format_func=lambda t: t.value,
        label_visibility="collapsed",
        **kept(
            f"target.{column.position}",
            column.target,
            lambda chosen: job.set_column(column.position, target=chosen),
        ),
    )
    with more:
        _more(job, column, place)


def _short(samples: tuple[str, ...]) -> str:
    """Return sample values on one line, the long ones cut."""
    room = LONGEST_SAMPLES // max(len(samples), 1)
    if sum(map(len, samples)) <= LONGEST_SAMPLES:
        return " · ".join(samples)
    return " · ".join(s if len(s) <= room else f"{s[: room - 1].rstrip()}…" for s in samples)


def _more(job: ImportJob, column: MappedColumn, place: str) -> None:
    """Show what else has to be said of a column: its model, its unit, why it was guessed."""
    position = column.position

    def units(field: str, choices: Sequence[str]) -> None:
        st.selectbox(
            f"Unit of column {place}",
            choices,
            format_func=unit_label,
            label_visibility="collapsed",
            **kept(
                f"unit.{position}",
                getattr(column, field) or "",
                lambda unit: job.set_column(position, **{field: unit or UNSAID[field]}),
            ),
        )

    if column.target == Target.MODEL_TIME:
        st.text_input(
            f"Model of column {place}",
            max_chars=60,
            placeholder="name of the model",
            label_visibility="collapsed",
            **kept(
                f"model.{position}",
                column.model,
                lambda model: job.set_column(position, model=model.strip()),
            ),
        )
    elif column.target in TIME_TARGETS:
        units("unit", ("", *TimeUnit))
    elif column.target == Target.WEIGHT:
        units("weight_unit", ("", "g", "kg"))
    elif column.why:
        st.caption(plain(column.why))


def _as_it_stands(job: ImportJob) -> None:
    """Show the first rows of the sheet as they stand, the headings marked."""
    import pandas as pd

    sheet, mapping = job.sheet, job.mapping
    with st.container(horizontal=True, vertical_alignment="center", height=40, border=False):
        more = "" if len(sheet.rows) <= SHOWN_ROWS else f", the first {SHOWN_ROWS} rows"
        st.markdown(
            f"**The sheet as it stands**, {len(sheet.rows)} rows{more}; the headings are tinted"
        )
    width = min(sheet.width, SHOWN_COLUMNS)
    rows = sheet.rows[:SHOWN_ROWS]
    grid = [[stood(row[c]) if c < len(row) else "" for c in range(width)] for row in rows]
    index = [
        f"{number} hidden" if number in sheet.hidden_rows else str(number)
        for number in range(1, len(rows) + 1)
    ]
    frame = pd.DataFrame(grid, columns=[column_letters(c) for c in range(width)], index=index)
    first, last = mapping.header_row, mapping.header_row + mapping.header_rows - 1

    def tint(row: Any) -> list[str]:
        place = int(str(row.name).partition(" ")[0])
        return [HEADING_FILL if first <= place <= last else ""] * len(row)

    st.dataframe(
        frame.style.apply(tint, axis=1) if first else frame,
        height=HEIGHT,
        alt="The sheet as it stands",
    )
