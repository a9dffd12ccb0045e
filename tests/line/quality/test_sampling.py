"""Sampling plans against the tables of the standard and published points of the curve."""

import pytest

from stationflow.line.quality.sampling import (
    LIMITS,
    code_letter,
    outgoing_limit,
    sampling_plan,
)
from stationflow.model import SampleLevel

# ISO 2859-1, table 1: a lot of each row, and its letters at S-1 S-2 S-3 S-4 I II III
LETTERS = """
2 A A A A A A B
8 A A A A A A B
9 A A A A A B C
25 A A B B B C D
26 A B B C C D E
90 B B C C C E F
91 B B C D D F G
151 B C D E E G H
500 B C D E F H J
501 C C E F G J K
3200 C D E G H K L
3201 C D F G J L M
35000 C D F H K M N
35001 D E G J L N P
500000 D E G J M P Q
500001 D E H K N Q R
"""
# ISO 2859-1, table 2-A: letter and size, a lot that has it at level II, then the limits
# .65 1.0 1.5 2.5 4.0 6.5: an acceptance number, or the plan an arrow leads to as "size:number"
NORMAL = """
F 100 0 13:0 32:1 1 2 3
G 200 20:0 50:1 1 2 3 5
H 400 80:1 1 2 3 5 7
J 900 1 2 3 5 7 10
K 3000 2 3 5 7 10 14
L 5000 3 5 7 10 14 21
M 20000 5 7 10 14 21 200:21
N 100000 7 10 14 21 315:21 200:21
"""
SIZE = {"F": 20, "G": 32, "H": 50, "J": 80, "K": 125, "L": 200, "M": 315, "N": 500}


@pytest.mark.parametrize("row", LETTERS.strip().splitlines())
def test_a_lot_has_these_code_letters(row):
    lot, *letters = row.split()
    assert [code_letter(int(lot), level) for level in SampleLevel] == letters


@pytest.mark.parametrize("row", NORMAL.strip().splitlines())
def test_a_letter_has_these_acceptance_numbers(row):
    letter, lot, *cells = row.split()
    for limit, cell in zip((0.65, 1.0, 1.5, 2.5, 4.0, 6.5), cells, strict=True):
        plan = sampling_plan(int(lot), SampleLevel.II, limit)
        size, _, accept = f"{SIZE[letter]}:{cell}".rpartition(":")
        size = size.rpartition(":")[2]
        assert (plan.asked_letter, plan.size, plan.accept) == (letter, int(size), int(accept))


def test_a_lot_of_three_thousand_at_one_percent_is_judged_by_125_units():
    plan = sampling_plan(3_000, SampleLevel.II, 1.0)
    assert (plan.letter, plan.size, plan.accept, plan.reject) == ("K", 125, 3, 4)


def test_between_none_and_one_stand_two_arrows():
    # J: 0 at .15; .25 leads up to the plan of H (50, 0); .40 down to that of K (125, 1); 1 at .65
    plans = [sampling_plan(900, SampleLevel.II, limit) for limit in (0.15, 0.25, 0.4, 0.65)]
    assert [(p.letter, p.size, p.accept) for p in plans] == [
        ("J", 80, 0),
        ("H", 50, 0),
        ("K", 125, 1),
        ("J", 80, 1),
    ]


def test_a_sample_as_large_as_the_lot_is_the_whole_lot():
    # level III of 9 units: C; 1 % leads down to E with 13 units, of which there are 9
    plan = sampling_plan(9, SampleLevel.III, 1.0)
    assert (plan.size, plan.is_whole_lot) == (9, True)


def test_every_lot_level_and_limit_has_a_plan():
    for lot in (2, 20, 600, 2_000_000):
        for level in SampleLevel:
            for limit in LIMITS:
                assert sampling_plan(lot, level, limit).accept >= 0


def test_a_limit_without_a_column_is_refused():
    with pytest.raises(ValueError, match=r"0.65, 1, 1.5.* got 1.2"):
        sampling_plan(3_000, SampleLevel.II, 1.2)


def test_the_worst_average_that_leaves_is_between_limit_and_half_acceptance():
    # n 50, c 0 of a very large lot: p (1 - p)^50 is largest at p = 1/51: 1/51 x (50/51)^50 = .00728
    plan = sampling_plan(900, SampleLevel.II, 0.25)
    worst, where = outgoing_limit(plan, 10**9)
    assert worst == pytest.approx(0.00728, abs=5e-6)
    assert where == pytest.approx(1 / 51, abs=1e-4)
