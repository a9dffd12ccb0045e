"""An editable table that loses no edit.

The grid is given the same first frame for as long as it lives, because a frame
fed back from its own answer loses every second edit. What comes back is
compared, cell by cell, with what was seen last, and only the changes are put
into the records. The frame is made anew when the records change elsewhere.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import pandas as pd
import streamlit as st

from stationflow.ui.cells import Column

Row = tuple[str, ...]
TORN = (
    "The pasted block holds an emoji or a rare character, which shifts the cells behind it when "
    "plain text is pasted. Nothing of the block was taken. Paste it without that character, or "
    "copy it from a spreadsheet; the character can be typed afterwards."
)
Height = int | Literal["auto", "content", "stretch"]


@dataclass(slots=True)
class GridState:
    """What the page remembers of one grid between two runs.

    Attributes
    ----------
    turn
        Counts the frames given so far; part of the widget's key.
    frame
        The frame the grid was first given.
    rows
        The records as texts when last stored.
    seen
        Cells as they came back last, by row label.
    labels
        Row label of each record, in the records' order.
    """

    turn: int
    frame: pd.DataFrame
    rows: list[Row]
    seen: dict[int, Row]
    labels: list[int]


@dataclass(frozen=True, slots=True)
class GridEdit:
    """What the engineer did in a grid.

    Attributes
    ----------
    records
        The records with the changes put in.
    came_from
        For each record its position before the edit; None: it is new.
    problems
        Sentences about cells that could not be taken.
    labels, seen
        The grid's rows that belong to `records`, to be kept once they are stored.
    """

    records: tuple[Any, ...]
    came_from: tuple[int | None, ...]
    problems: tuple[str, ...] = ()
    labels: list[int] = field(default_factory=list)
    seen: dict[int, Row] = field(default_factory=dict)


def edit_grid(
    name: str,
    records: Sequence[Any],
    columns: Sequence[Column],
    new: Callable[[], Any],
    *,
    height: Height = "auto",
    alt: str | None = None,
) -> GridEdit | None:
    """Show records as an editable table; return an edit, or None when there is none.

    Parameters
    ----------
    name
        Name of the grid in the session: "tasks.table".
    records
        The records as the store has them now.
    columns
        The columns.
    new
        Makes an empty record for a row that was added.

    Returns
    -------
    GridEdit or None
        Store the records, then call `keep` (or `renew` to draw the grid afresh).
    """
    rows = rows_of(records, columns)
    state = _state(name, rows, columns)
    if _is_torn(st.session_state.get(f"{name}.{state.turn}") or {}):
        return GridEdit(tuple(records), tuple(range(len(records))), problems=(TORN,))
    came_back = st.data_editor(
        state.frame,
        key=f"{name}.{state.turn}",
        num_rows="dynamic",
        hide_index=True,
        height=height,
        row_height=32,
        placeholder="",
        column_config={c.label: _config(c) for c in columns},
        alt=alt,
    )
    cells = cells_of(came_back)
    if cells == state.seen:
        if state.rows != rows:  # saved elsewhere
            renew(name)
            st.rerun()
        return None
    if state.rows != rows:
        renew(name)
        said = "; ".join(_changed_texts(state.seen, cells)) or "the rows taken out"
        return GridEdit(
            records=tuple(records),
            came_from=tuple(range(len(records))),
            problems=(
                "The product was saved elsewhere since this table was drawn; the table now "
                f"shows the new state. Not saved, please repeat: {said}",
            ),
        )
    return merge(records, state.labels, state.seen, cells, columns, new)


def keep(name: str, edit: GridEdit, columns: Sequence[Column]) -> None:
    """Note that an edit is stored, so that the grid goes on without being drawn afresh."""
    state: GridState = st.session_state[f"{name}.state"]
    state.rows = rows_of(edit.records, columns)
    state.seen = edit.seen
    state.labels = edit.labels


def renew(name: str) -> None:
    """Draw the grid afresh from the store at the next run."""
    state: GridState | None = st.session_state.get(f"{name}.state")
    if state is not None:
        state.labels = [-1]


def merge(
    records: Sequence[Any],
    labels: Sequence[int],
    seen: dict[int, Row],
    cells: dict[int, Row],
    columns: Sequence[Column],
    new: Callable[[], Any],
) -> GridEdit:
    """Put the changes of a grid into the records.

    A cell that cannot be read leaves its field as it was and gives a problem.
    Rows without any text are left out.
    """
    position = {label: i for i, label in enumerate(labels)}
    blank = tuple("" for _ in columns)
    moved = _moved_up(seen, cells)
    edited, came_from, problems, kept = [], [], [], []
    for row_number, (label, row) in enumerate(cells.items(), start=1):
        before_label = moved.get(label, label)
        if before_label not in position and row == blank:
            continue
        known = position.get(before_label)
        record = new() if known is None else records[known]
        for column, text, before in zip(columns, row, seen.get(before_label, blank), strict=True):
            if text != before:
                try:
                    record = column.put(record, text)
                except ValueError as problem:
                    problems.append(
                        f"Row {row_number}, {column.label}: {problem} The cell was left as it was."
                    )
        edited.append(record)
        came_from.append(known)
        kept.append(label)
    return GridEdit(tuple(edited), tuple(came_from), tuple(problems), kept, cells)


def _moved_up(seen: dict[int, Row], cells: dict[int, Row]) -> dict[int, int]:
    """Return which added rows took the label of one before them that was deleted.

    The grid counts added rows anew when one of them is deleted; the texts tell
    which row is which.
    """
    if len(cells) >= len(seen):
        return {}
    left = {label: row for label, row in seen.items() if cells.get(label) != row}
    moved = {}
    for label, row in cells.items():
        if seen.get(label) != row:
            was = next((old for old, text in left.items() if text == row), None)
            if was is not None:
                moved[label] = was
                del left[was]
    return moved


def rows_of(records: Sequence[Any], columns: Sequence[Column]) -> list[Row]:
    """Return records as the texts of their cells."""
    return [tuple(column.show(record) for column in columns) for record in records]


def cells_of(frame: pd.DataFrame) -> dict[int, Row]:
    """Return the cells of a grid by row label, without blanks at their ends."""
    texts = frame.astype(object).where(frame.notna(), "")
    return {
        int(label): tuple(str(cell).strip() for cell in row)
        for label, row in zip(texts.index, texts.itertuples(index=False), strict=True)
    }


def _state(name: str, rows: list[Row], columns: Sequence[Column]) -> GridState:
    """Return what is remembered of a grid, made anew when it no longer fits."""
    key = f"{name}.state"
    state: GridState | None = st.session_state.get(key)
    if state is not None and _fits(name, state, rows, columns):
        return state
    frame = pd.DataFrame(rows, columns=[c.label for c in columns], dtype="str")
    turn = state.turn + 1 if state else 1
    labels = list(range(len(rows)))
    state = GridState(turn, frame, rows, cells_of(frame), labels)
    st.session_state[key] = state
    return state


def _fits(name: str, state: GridState, rows: list[Row], columns: Sequence[Column]) -> bool:
    """Return whether the grid on the page can live on."""
    widget = st.session_state.get(f"{name}.{state.turn}")
    if widget is None or state.labels == [-1]:  # the page was left, or `renew` was called
        return False
    if list(state.frame.columns) != [c.label for c in columns]:
        return False
    return state.rows == rows or _has_edits(widget)


def _has_edits(widget: dict[str, Any]) -> bool:
    """Return whether a grid holds edits of the engineer."""
    return any(widget.get(k) for k in ("edited_rows", "added_rows", "deleted_rows"))


def _is_torn(widget: dict[str, Any]) -> bool:
    """Return whether a pasted block came in shifted.

    The grid parts plain text at places counted in whole characters but cuts it at
    places counted in UTF-16 units: after a character of two units every cell
    begins with the mark that parted it from the one before, and has lost its end.
    """
    rows = [*(widget.get("edited_rows") or {}).values(), *(widget.get("added_rows") or ())]
    return any(
        isinstance(text, str) and (text.startswith(("\t", "\n")) or _is_halved(text))
        for row in rows
        for text in row.values()
    )


def _is_halved(text: str) -> bool:
    """Return whether a text holds half of a character of two UTF-16 units."""
    return any("\ud800" <= character <= "\udfff" for character in text)


def _changed_texts(seen: dict[int, Row], cells: dict[int, Row]) -> list[str]:
    """Return the texts that were typed since the grid was seen last."""
    return [
        text
        for label, row in cells.items()
        for text, before in zip(row, seen.get(label, ("",) * len(row)), strict=True)
        if text != before
    ]


def _config(column: Column) -> Any:
    """Return how the grid shows a column."""
    if column.options is not None:
        return st.column_config.SelectboxColumn(
            options=list(column.options), width=column.width, help=column.help
        )
    return st.column_config.TextColumn(
        width=column.width,
        help=column.help,
        alignment="right" if column.is_number else None,
        pinned=column.is_pinned or None,
    )
