"""What would come in: where it goes, the rows with their marks, and the report."""

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.importing import bringing_in
from stationflow.actions.importing.bringing_in import Preview
from stationflow.balancing.time_words import count
from stationflow.files.foreign.column_mapping import TableKind
from stationflow.files.foreign.import_report import CellReport, Outcome
from stationflow.files.foreign.into_product import ChangeState, RecordChange
from stationflow.model import Part, Task
from stationflow.model.schema.cells import join_list
from stationflow.ui import downloads, session
from stationflow.ui.grids.grid_columns import shown_number, shown_time
from stationflow.ui.imports.import_job import ImportJob
from stationflow.units import TimeUnit

SHOWN_ROWS = 2_000
"""A table with more rows is cut; all of it comes in all the same."""
SHOWN_REPORT = 5_000
REPORT_WIDTHS = {
    "What": 90, "Cell": 110, "Stood there": 170, "Became": 150, "Why": 420, "What to do": 320,
}  # fmt: skip
HEIGHT = 560
TICK = "Bring in"
FILLS = {
    ChangeState.NEW: "background-color: rgba(46, 139, 87, 0.20)",
    ChangeState.CHANGED: "background-color: rgba(222, 143, 5, 0.22)",
    ChangeState.REMOVED: "background-color: rgba(200, 60, 50, 0.20)",
}
"""Tints that read on a light and on a dark ground; the words beside them say the same."""
MARKS = {
    Outcome.ERROR: "background-color: rgba(200, 60, 50, 0.20)",
    Outcome.OFFERED: "background-color: rgba(11, 110, 160, 0.20)",
    Outcome.CHANGED: "background-color: rgba(222, 143, 5, 0.18)",
}


def rows_table(job: ImportJob, whole: Preview, unit: TimeUnit) -> None:
    """Show every row as it would be, to be ticked off; the ticks are kept in the job."""
    import pandas as pd

    shown = _records(whole, unit)
    if not shown:
        st.info("No row of this sheet can come in yet. Choose what the columns hold.")
        return
    key = f"import.rows.{job.turn}.{job.looked_at[:12]}"
    frame = pd.DataFrame(shown)
    rows = [int(row) for row in frame["Row"]]
    begun = _base_ticks(job, key, rows)
    frame.insert(0, TICK, begun)
    fills = [FILLS.get(record["State"], "") for record in shown]

    def left_out() -> set[int]:
        edited = (st.session_state.to_dict().get(key) or {}).get("edited_rows", {})
        told = {int(at): row for at, row in edited.items()}
        ticks = [told.get(at, {}).get(TICK, tick) for at, tick in enumerate(begun)]
        return {row for row, tick in zip(rows, ticks, strict=True) if not tick}

    said = left_out()

    def take() -> None:  # before the button above is looked at
        nonlocal said
        # A slow browser tells a table once more that was drawn anew meanwhile, with other rows.
        if (now := left_out()) != said:
            job.left_out = said = now

    st.data_editor(
        frame.style.apply(lambda column: fills, subset=["State"]),
        hide_index=True,
        height=min(HEIGHT, 38 + 35 * len(shown)),
        disabled=[name for name in frame.columns if name != TICK],
        column_config=_config(list(frame.columns)),
        key=key,
        on_change=take,
        alt="The rows as they would come in; take the tick off a row to leave it out",
    )
    if whole.count > len(shown):
        st.caption(f"The first {len(shown)} of {whole.count} rows; all of them come in.")
    if (now := left_out()) != job.left_out:
        job.left_out = now
        session.rerun()


def _base_ticks(job: ImportJob, key: str, rows: Sequence[int]) -> list[bool]:
    """Return the ticks a table starts with: the same ones as long as the table lives."""
    if key not in st.session_state or len(job.ticks) != len(rows):  # new, or the page was left
        job.ticks = [row not in job.left_out for row in rows]
    return job.ticks


def _config(names: Sequence[str]) -> dict[str, Any]:
    """Return widths and alignment of the columns."""
    text = st.column_config.TextColumn
    numbers = ("Time", "Quantity", "In a container", "Weight")
    right = {name: text(width=95, alignment="right") for name in names if name.startswith(numbers)}
    return right | {
        TICK: st.column_config.CheckboxColumn(width=90, pinned=True),
        "State": text(width=85, pinned=True),
        "Row": st.column_config.NumberColumn(width=55, pinned=True),
        "Number": text(width=80, pinned=True),
        "Task": text(width=280),
        "What changes": text(width=420),
    }


def _records(whole: Preview, unit: TimeUnit) -> list[dict[str, Any]]:
    """Return one record for each row, as far as they are shown."""
    changes = {change.row: change for change in whole.merge.changes if change.row}
    tasks = {task.number: task for task in whole.merge.product.tasks}
    parts = {part.number: part for part in whole.merge.product.parts}
    shown: list[dict[str, Any]] = []
    for row in whole.imported.rows[:SHOWN_ROWS]:
        change = changes[row.row]
        number = row.record.number
        record: dict[str, Any] = {"State": change.state.value, "Row": row.row}
        if whole.mapping.kind == TableKind.TASKS:
            record |= _task_cells(tasks[number], unit) | {"Station today": row.station}
        else:
            record |= _part_cells(parts[number])
        shown.append(record | {"What changes": "; ".join(change.differences)})
    return _without_empty(shown)


def _task_cells(task: Task, unit: TimeUnit) -> dict[str, str]:
    """Return the cells of a task."""
    models = {f"Time {t.model}": shown_time(t.time_ms, unit) for t in task.model_times}
    return {
        "Number": task.number,
        "Task": task.name,
        f"Time ({unit.label})": shown_time(task.time_ms, unit),
        "After": join_list(task.predecessors),
        **models,
        "Line": task.line,
        "Steps": "; ".join(step.text for step in task.steps),
        "Parts": "; ".join(f"{shown_number(use.quantity)} x {use.part}" for use in task.parts),
        "Tools": "; ".join(use.tool for use in task.tools),
        "Checks": "; ".join(check.text for check in task.checks),
        "Cautions": "; ".join(caution.text for caution in task.cautions),
        "Machine": "yes" if task.machine else "",
        "Time source": task.time_source,
        "Remark": task.remark,
    }


def _part_cells(part: Part) -> dict[str, str]:
    """Return the cells of a part."""
    return {
        "Number": part.number,
        "Name": part.name,
        "Quantity": shown_number(part.quantity),
        "Unit": part.unit,
        "Container": part.container,
        "In a container": shown_number(part.container_quantity),
        "Weight (g)": shown_number(part.weight_g),
    }


LONG_TEXTS = ("Steps", "Parts", "Tools", "Checks", "Cautions", "Machine", "Time source", "Remark")
KEPT_EMPTY = ("State", "Row", "Number", "Task", "Name", "After")


def _without_empty(records: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return records with the same cells each, without those that are empty in all."""
    names = dict.fromkeys(name for record in records for name in record)
    used = [
        name
        for name in names
        if name in KEPT_EMPTY or name.startswith("Time (") or any(r.get(name) for r in records)
    ]
    if len({record.get("Line", "") for record in records}) == 1:
        used = [name for name in used if name != "Line"]
    used.sort(key=LONG_TEXTS.__contains__)  # what changes stands before the long texts
    return [{name: record.get(name, "") for name in used} for record in records]


def summary(looked_at: Preview) -> str:
    """Return in words how much is new, changed and the same."""
    counts = Counter(change.state for change in looked_at.merge.changes)
    return ", ".join(f"{counts[state]} {state.value}" for state in ChangeState if counts[state])


def removed(changes: Sequence[RecordChange]) -> None:
    """Name what would be taken out of the product."""
    gone = [change.number for change in changes if change.state == ChangeState.REMOVED]
    if gone:
        more = f" and {len(gone) - 12} more" if len(gone) > 12 else ""
        are = "are" if len(gone) > 1 else "is"
        said = f"{count(len(gone), 'task')} of the product {are} not in the sheet"
        st.warning(f"{said} and would be taken out:")
        st.text(f"{', '.join(gone[:12])}{more}")


def report(job: ImportJob, entries: Sequence[CellReport]) -> None:
    """List every cell that is not taken exactly as it stands, to be filtered and downloaded."""
    import pandas as pd

    if not entries:
        st.success("Every cell is taken exactly as it stands.")
        return
    counts = Counter(entry.severity for entry in entries)
    kinds = [outcome for outcome in Outcome if counts[outcome]]
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.pills(
            "Show",
            kinds,
            selection_mode="multi",
            format_func=lambda kind: f"{kind.value}: {counts[kind]}",
            label_visibility="collapsed",
            width="stretch",
            key="import.severities",
        )
        downloads.button(
            "Download the report (CSV)",
            partial(bringing_in.report_csv, entries),
            f"import-report-{_plain_name(job.file.name)}.csv",
            "text/csv",
            key="import.report",
            icon=":material/download:",
        )
    listed = [entry for entry in entries if not chosen or entry.severity in chosen]
    listed, count_listed = listed[:SHOWN_REPORT], len(listed)
    rows = [(e.severity.value, e.address, e.stood, e.became, e.message, e.hint) for e in listed]
    frame = pd.DataFrame(rows, columns=list(REPORT_WIDTHS))
    tints = [MARKS.get(entry.severity, "") for entry in listed]
    st.dataframe(
        frame.style.apply(lambda column: tints, subset=["What"]),
        hide_index=True,
        height=min(HEIGHT, 38 + 35 * len(frame)),
        column_config={
            name: st.column_config.TextColumn(width=width) for name, width in REPORT_WIDTHS.items()
        },
        alt="Every cell that is not taken exactly as it stands",
    )
    if count_listed > SHOWN_REPORT:
        st.caption(f"The first {SHOWN_REPORT} of {count_listed}; the download holds all.")


def _plain_name(name: str) -> str:
    """Return a file name's stem of letters that every file system takes."""
    stem = name.rpartition(".")[0] or name
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in stem)[:60]


def noun(kind: TableKind, number: int) -> str:
    """Return a count with its word: "1 task", "80 parts"."""
    return count(number, "task" if kind == TableKind.TASKS else "part")


def stations_words(today: Mapping[str, Sequence[Any]]) -> str:
    """Return how many stations of today each line has."""
    return ", ".join(
        f"line {line}: {count(len(stations), 'station')}" for line, stations in today.items()
    )
