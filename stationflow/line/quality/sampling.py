"""Sampling of lots by attributes: code letter, single plan, operating characteristic.

The tables are those of ISO 2859-1 as remembered: compare a plan with the standard in hand before it
is agreed with a customer.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass

from stationflow.model import SampleLevel

SOURCE = (
    "ISO 2859-1, tables 1 and 2-A (normal inspection, single sampling), from memory: compare with "
    "the standard before it is agreed"
)
LETTERS = "ABCDEFGHJKLMNPQR"
SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
# The largest lot of each row, and its letters at the levels S-1 S-2 S-3 S-4 I II III.
LOTS = (8, 15, 25, 50, 90, 150, 280, 500, 1_200, 3_200, 10_000, 35_000, 150_000, 500_000)
ROWS = (
    "AAAAAAB", "AAAAABC", "AABBBCD", "ABBCCDE", "BBCCCEF", "BBCDDFG", "BCDEEGH", "BCDEFHJ",
    "CCEFGJK", "CDEGHKL", "CDFGJLM", "CDFHKMN", "DEGJLNP", "DEGJMPQ", "DEHKNQR",
)  # fmt: skip
LIMITS = (0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1, 1.5, 2.5, 4, 6.5, 10)
"""Acceptance quality limits in percent nonconforming for which there are plans."""
UP, DOWN = -1, -2
# What stands along a row from the limit with 0 on; every letter begins one limit earlier than the
# letter before. Between 0 and 1 there are two arrows.
ALONG = (0, UP, DOWN, 1, 2, 3, 5, 7, 10, 14, 21)


def code_letter(lot: int, level: SampleLevel) -> str:
    """Return the code letter of a lot of two units or more.

    >>> code_letter(3_000, SampleLevel.II)
    'K'
    """
    if lot < 2:
        raise ValueError(f"a lot has two units at least, got {lot}")
    return ROWS[bisect_left(LOTS, lot)][list(SampleLevel).index(level)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingPlan:
    """How many units of a lot are tested, and with how many failing ones it is accepted."""

    letter: str  # of the plan that is used, where an arrow led to another
    asked_letter: str
    size: int
    accept: int  # the lot is accepted with so many nonconforming units, or fewer
    is_whole_lot: bool = False  # the sample is as large as the lot: all are tested

    @property
    def reject(self) -> int:
        """The lot is not accepted with so many nonconforming units."""
        return self.accept + 1


def sampling_plan(lot: int, level: SampleLevel, aql_percent: float) -> SamplingPlan:
    """Return the single plan for normal inspection; ValueError: there is no column for the limit.

    An arrow leads to the nearest plan above or below in the column, with that plan's sample size.

    >>> plan = sampling_plan(3_000, SampleLevel.II, 1.0)
    >>> plan.letter, plan.size, plan.accept, plan.reject
    ('K', 125, 3, 4)
    """
    if aql_percent not in LIMITS:
        known = ", ".join(f"{limit:g}" for limit in LIMITS)
        raise ValueError(f"there are plans for {known} percent, got {aql_percent:g}")
    asked = code_letter(lot, level)
    row = LETTERS.index(asked)
    column = LIMITS.index(aql_percent)
    step = 0
    while (cell := table_cell(row, column)) < 0:
        step = step or (1 if cell == DOWN else -1)
        if not 0 <= row + step < len(LETTERS):
            step = -step
        row += step
    size = SIZES[row]
    return SamplingPlan(
        letter=LETTERS[row],
        asked_letter=asked,
        size=min(size, lot),
        accept=cell,
        is_whole_lot=size >= lot,
    )


def table_cell(row: int, column: int) -> int:
    """Return the acceptance number of a letter and a limit, or the arrow that stands there."""
    place = column + row - (len(LETTERS) - 2)  # Q, the last but one, has 0 in the first column
    if place < 0:
        return DOWN
    return ALONG[place] if place < len(ALONG) else UP


def acceptance_share(plan: SamplingPlan, nonconforming: float) -> float:
    """Return the chance that a lot is accepted (binomial: the lot is large against the sample)."""
    p, size = nonconforming, plan.size
    return sum(
        math.comb(size, count) * p**count * (1 - p) ** (size - count)
        for count in range(min(plan.accept, size) + 1)
    )


def outgoing_limit(plan: SamplingPlan, lot: int) -> tuple[float, float]:
    """Return the average outgoing quality limit, and the incoming share where it is reached.

    Lots that are not accepted are sorted: p Pa(p) (N - n) / N of the units leave nonconforming
    (Dodge and Romig). It rises to one top, which is closed in by thirds.
    """

    def leaving(incoming: float) -> float:
        return incoming * acceptance_share(plan, incoming) * (1 - plan.size / lot)

    low, high = 0.0, 1.0
    for _ in range(60):
        third = (high - low) / 3
        if leaving(low + third) < leaving(high - third):
            low += third
        else:
            high -= third
    return leaving(low), low
