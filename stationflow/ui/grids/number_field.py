"""A number asked for on a page: typed as text, and read as a file is.

A number field of the browser would turn "0,97" into 97 where its language has no decimal comma.
"""

from typing import Any

import streamlit as st

from stationflow.model.schema.cells import plain_number
from stationflow.model.schema.columns import Kind
from stationflow.ui import session
from stationflow.ui.grids.grid_columns import read
from stationflow.ui.text import plain


def number_field(
    label: str, least: float, most: float, usual: float, *, key: str, **look: Any
) -> Any:
    """Return the number in a field; None: it cannot be taken, and the page says why.

    It is a whole number where `usual` is one. What was typed is there again when the page was left.
    `look` is as for `st.text_input`.
    """
    kind = Kind.WHOLE if isinstance(usual, int) else Kind.NUMBER
    kept = session.kept(key, plain_number(usual))
    text = st.text_input(label, st.session_state[key], **kept, **look).strip()
    try:
        number = read(text, kind)
        if number is None or not least <= number <= most:
            shown = f"“{text}” is not taken. Enter" if text else "Enter"
            raise ValueError(f"{shown} a number from {_words(least)} to {_words(most)}.")
    except ValueError as problem:
        st.error(plain(f"{label}: {problem}"))
        return None
    return number


def _words(number: float) -> str:
    return f"{number:,.3f}".rstrip("0").rstrip(".").replace(",", " ")
