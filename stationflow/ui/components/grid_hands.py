"""What hands do with an editable table that the table does not tell by itself."""

from collections.abc import Callable
from pathlib import Path

import streamlit as st

_hands = st.components.v2.component(
    "grid_hands", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


def grid_hands(key: str, around: str, choose: Callable[[int], None] | None) -> None:
    """Let a pasted block go into the table in the container `around`; tell the row chosen there.

    `choose` is called with the place of the row from the top, from 0; None: nobody wants to know.
    """

    def taken() -> None:
        row = st.session_state[key].get("row")
        if choose is not None and isinstance(row, int) and row >= 0:
            choose(row)

    data = {"around": f"st-key-{around}", "isTelling": choose is not None}
    _hands(key=key, data=data, height=1, on_row_change=taken)
