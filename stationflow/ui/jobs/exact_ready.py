"""The exact search is made ready by a child from the start of the app, before it is asked for."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import streamlit as st

ROOT = Path(__file__).parents[3]
COMMAND = (sys.executable, "-m", "stationflow.cli.making_ready")


class MakingReady:
    """A child that makes the search ready, and ends when the app does: its pipe is closed then."""

    def __init__(self, command: Sequence[str] = COMMAND) -> None:
        self.process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd=ROOT,
        )

    @property
    def is_done(self) -> bool:
        """Whether the search is ready."""
        return self.process.poll() == 0


@st.cache_resource(show_spinner=False)
def begin() -> MakingReady:
    """Begin to make the search ready, once in the life of the app."""
    return MakingReady()


def is_ready() -> bool:
    """Return whether the exact search can begin at once."""
    return begin().is_done
