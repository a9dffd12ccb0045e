"""Faults that tests find, by place, and how often they were found."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A place-of-fault code as it stands on the fault card of a test station."""

    code: str  # "F12"; tells faults apart
    text: str = ""  # what is wrong, and where
    gate: str = ""  # number of the test or inspection that finds it
    task: str = ""  # number of the task that causes it; empty: none, or not known
    part: str = ""  # number of the part that is to blame; empty: none, or not known
    reaction: str = ""  # what is done with the unit


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCount:
    """How often a fault was found on a day."""

    date: str  # "2026-09-14"
    fault: str  # its code
    count: int = 1
