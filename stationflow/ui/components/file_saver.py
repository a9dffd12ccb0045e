"""Files that the browser saves as soon as they are made."""

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import streamlit as st

_saver = st.components.v2.component(
    "file_saver", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyFile:
    """A file to be saved under a name."""

    name: str
    mime: str
    content: bytes


def file_saver(files: Mapping[str, ReadyFile], *, key: str) -> None:
    """Let the browser save files, each id once.

    Send a file with several runs: what one run sends, the next may take back before the
    browser has looked.
    """
    sent = [
        {"id": each, "name": f.name, "mime": f.mime, "content": b64encode(f.content).decode()}
        for each, f in files.items()
    ]
    _saver(data={"files": sent}, key=key, height=1)
