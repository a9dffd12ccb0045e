"""User text in places where Streamlit reads Markdown."""

import re

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")


def plain(text: str) -> str:
    r"""Return text that Markdown shows exactly as it is typed.

    Without this, a task called ``![x](http://...)`` would load a picture from
    somewhere else.

    >>> plain("2*3")
    '2\\*3'
    """
    return _MARKS.sub(r"\\\1", " ".join(text.split()))
