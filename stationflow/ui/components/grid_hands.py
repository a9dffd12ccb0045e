"""What hands do with an editable table that the table does not tell by itself."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import streamlit as st

_hands = st.components.v2.component(
    "grid_hands", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


def grid_hands(
    key: str,
    around: str,
    choose: Callable[[int], None] | None,
    chosen: int | None,
    offered: Mapping[str, Sequence[str]],
) -> None:
    """Let a pasted block go into the table in the container `around`; tell the row chosen there.

    `choose` is called with the place of the row from the top, from 0; None: nobody wants to know.
    `chosen` is the row of what is chosen now, where that can be chosen elsewhere too.
    `offered` are the choices of columns by their headings; see `cells_left_out`.
    """

    def taken() -> None:
        row = st.session_state[key].get("row")
        if choose is not None and isinstance(row, int) and row >= 0:
            choose(row)

    data = {
        "around": f"st-key-{around}",
        "isTelling": choose is not None,
        "chosen": chosen,
        "offered": {heading: list(choices) for heading, choices in offered.items()},
    }
    _hands(key=key, data=data, height=1, on_row_change=taken, on_unknown_change=lambda: None)


def cells_left_out(key: str) -> list[tuple[int, str, str]]:
    """Return what the table left out of the last pasted block: no choice of its column.

    Each is row from 1, heading, text. A state, no event: the edit that follows may cut a run short.
    """
    told = (st.session_state.get(key) or {}).get("unknown") or {}
    if not told or st.session_state.get(f"{key}.read") == told["at"]:
        return []
    return [(row, heading, text) for row, heading, text in told["cells"]]


def read_left_out(key: str) -> None:
    """Tell no more what was left out so far."""
    told = (st.session_state.get(key) or {}).get("unknown") or {}
    st.session_state[f"{key}.read"] = told.get("at")
