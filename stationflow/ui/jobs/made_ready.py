"""What is compiled on a new machine is made ready by a child before it is asked for."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

import streamlit as st

ROOT = Path(__file__).parents[3]
COMMAND = (sys.executable, "-m", "stationflow.cli.making_ready")
Part = Literal["search", "simulation"]


class MakingReady:
    """A child that makes one part ready, and ends when the app does: its pipe is closed then."""

    def __init__(self, part: Part, command: Sequence[str] = COMMAND) -> None:
        self.process = subprocess.Popen(
            (*command, part),
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd=ROOT,
        )

    @property
    def is_done(self) -> bool:
        """Whether it is ready."""
        return self.process.poll() == 0


@st.cache_resource(show_spinner=False)
def begin(part: Part) -> MakingReady:
    """Begin to make a part ready, once in the life of the app."""
    return MakingReady(part)


def is_ready(part: Part) -> bool:
    """Return whether a part can begin at once."""
    return begin(part).is_done
