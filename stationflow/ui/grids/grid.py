"""An editable table that loses no edit.

The frame the grid was drawn with stays as it is for as long as the grid lives. Edits are
stored before the page is drawn, by a callback that is told all edits since then; a run that
is cut short by the next edit loses nothing, for the next one is told them again.
"""

import re
from collections.abc import Callable, Sequence
from typing import Any, Literal

import pandas as pd
import streamlit as st

from stationflow.ui.components.grid_hands import cells_left_out, grid_hands, read_left_out
from stationflow.ui.grids.grid_columns import Column
from stationflow.ui.grids.grid_state import Cells, GridState, Refused, cells_of, rows_of

TORN = (
    "The pasted block holds an emoji or a rare character, which shifts the cells behind it when "
    "plain text is pasted. Nothing of the block was taken. Paste it without that character, or "
    "copy it from a spreadsheet; the character can be typed afterwards."
)
MOST_NAMED = 12  # choices of a column that a message names
_HALVED = re.compile("[\ud800-\udfff]")  # half of a character of two UTF-16 units
_NOT_IN_CLASS = re.compile("[^A-Za-z0-9]+")  # what no name of a class on the page has
Height = int | Literal["auto", "content", "stretch"]


def state_of(
    name: str, records: Sequence[Any], columns: Sequence[Column], new: Callable[[], Any]
) -> GridState:
    """Return what is remembered of a grid, made anew when it no longer fits."""
    key = f"{name}.state"
    state: GridState | None = st.session_state.get(key)
    if state is not None:
        state.was_busy = state.pending is not None or state.is_held
        state.is_held = False
        if state.pending is not None:
            state.keep(*state.pending)
        if _lives(name, state, columns):
            state.columns, state.new = columns, new
            state.see(records)
            return state
    rows = rows_of(records, columns)
    made = GridState(
        turn=state.turn + 1 if state else 1,
        frame=pd.DataFrame(rows, columns=[c.label for c in columns], dtype="str"),
        drawn=rows,
        records=tuple(records),
        labels=list(range(len(rows))),
        known=dict(enumerate(rows)),
        seen=dict(enumerate(rows)),
        columns=columns,
        new=new,
        before=state,
    )
    if state is not None:
        state.before = None
    st.session_state[key] = made
    return made


def cells_now(name: str, state: GridState) -> Cells:
    """Return the cells of a grid as the browser told them last.

    Unlike any other look into the session this one lets no newer run cut in.
    """
    widget = st.session_state.to_dict().get(f"{name}.{state.turn}")
    return cells_of(state.drawn, widget, [c.label for c in state.columns])


def draw(
    name: str,
    state: GridState,
    take: Callable[[str, int], None],
    *,
    height: Height = "auto",
    alt: str | None = None,
    choose: Callable[[int], None] | None = None,
    chosen: int | None = None,
) -> None:
    """Draw a grid; `take` is called with its name and turn when it was edited.

    `choose` is called with the place of the record whose row somebody chose; `chosen` is the
    place of the record that is chosen now.
    """
    around = f"grid-{_NOT_IN_CLASS.sub('-', name)}"
    with st.container(key=around):
        st.data_editor(
            state.frame,
            key=f"{name}.{state.turn}",
            num_rows="dynamic",
            hide_index=True,
            height=height,
            row_height=32,
            placeholder="",
            column_config={c.label: _config(c) for c in state.columns},
            alt=alt,
            on_change=take,
            args=(name, state.turn),
        )

    def told(row: int) -> None:
        labels = list(cells_now(name, state))
        if choose is not None and row < len(labels) and labels[row] in state.labels:
            state.is_held = True
            choose(state.labels.index(labels[row]))

    row = None
    if chosen is not None and chosen < len(state.labels):
        rows = list(cells_now(name, state))
        row = rows.index(state.labels[chosen]) if state.labels[chosen] in rows else None
    grid_hands(_hands(name), around, told if choose else None, row, _offered(state))


def left_out(name: str, state: GridState) -> list[Refused]:
    """Return what a grid left out of the last block that was pasted into it."""
    offered = _offered(state)
    return [
        Refused(row, heading, text, _not_offered(text, offered[heading]))
        for row, heading, text in cells_left_out(_hands(name))
        if heading in offered
    ]


def forget_left_out(name: str) -> None:
    """Say no more what a grid left out so far."""
    read_left_out(_hands(name))


def _hands(name: str) -> str:
    return f"hands-{_NOT_IN_CLASS.sub('-', name)}"


def _offered(state: GridState) -> dict[str, Sequence[str]]:
    """Return the choices of the columns that have some, by their headings."""
    return {c.label: c.options for c in state.columns if c.options is not None}


def renew(name: str) -> None:
    """Draw the grid afresh from the store at the next run."""
    state: GridState | None = st.session_state.get(f"{name}.state")
    if state is not None:
        state.is_over = True


def is_torn(name: str, state: GridState) -> bool:
    """Return whether a pasted block came in shifted.

    The grid parts plain text at places counted in whole characters but cuts it at
    places counted in UTF-16 units: after a character of two units every cell
    begins with the mark that parted it from the one before, and has lost its end.
    """
    widget = st.session_state.to_dict().get(f"{name}.{state.turn}") or {}
    rows = [*(widget.get("edited_rows") or {}).values(), *(widget.get("added_rows") or ())]
    texts = [text for row in rows for text in row.values() if isinstance(text, str)]
    return any(text.startswith(("\t", "\n")) or _HALVED.search(text) for text in texts)


def _lives(name: str, state: GridState, columns: Sequence[Column]) -> bool:
    """Return whether the grid on the page can live on."""
    if state.is_over or st.session_state.get(f"{name}.{state.turn}") is None:
        return False  # `renew` was called, or the page was left
    return list(state.frame.columns) == [c.label for c in columns]


def _not_offered(text: str, choices: Sequence[str]) -> str:
    named = [choice for choice in choices if choice]
    more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
    return f"{text!r} is none of {', '.join(named[:MOST_NAMED])}{more}."


def _config(column: Column) -> Any:
    look: dict[str, Any] = {"width": column.width, "help": column.help}
    if column.options is not None:
        return st.column_config.SelectboxColumn(options=list(column.options), **look)
    look |= {"alignment": "right" if column.is_number else None}
    look |= {"default": column.usual or None}
    return st.column_config.TextColumn(pinned=column.is_pinned or None, **look)
