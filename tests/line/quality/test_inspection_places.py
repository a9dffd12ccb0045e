"""Which inspections pay, against all choices of gates and a case worked out by hand."""

from fractions import Fraction
from itertools import product as choices

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_products import ONE_SHIFT

from stationflow.line.quality.inspection_places import Stage, best_places
from stationflow.line.quality.product_quality import quality_figures
from stationflow.model import Demand, Product, QualityKind, QualityStep, Task

small = st.integers(0, 20).map(Fraction)
stages = st.lists(
    st.builds(
        Stage,
        faults=small.map(lambda number: number / 100),
        inspect=small,
        repair=small.map(lambda number: 100 * number),
        must=st.booleans(),
    ),
    min_size=1,
    max_size=6,
)


@given(stages=stages)
def test_no_choice_of_stages_takes_less_work(stages: list[Stage]):
    def work(kept: tuple[bool, ...]) -> Fraction:
        total = open_faults = Fraction(0)
        for stage, is_kept in zip(stages, kept, strict=True):
            open_faults += stage.faults
            if is_kept:
                total += stage.inspect + open_faults * stage.repair
                open_faults = Fraction(0)
        return total

    allowed = (
        kept
        for kept in choices([True, False], repeat=len(stages))
        if kept[-1] and all(k or not s.must for k, s in zip(kept, stages, strict=True))
    )
    least, chosen = best_places(stages)
    assert least == min(work(kept) for kept in allowed)
    assert least == work(tuple(at in chosen for at in range(len(stages))))


def look(number: str, share: float, repair_s: int, hand_s: int = 10, again: float = 1) -> Task:
    step = QualityStep(
        kind=QualityKind.INSPECTION,
        first_pass_share=share,
        repeat_pass_share=again,
        repair_ms=1000 * repair_s,
    )
    return Task(number=number, time_ms=1000 * hand_s, quality=step)


def figures(*tasks: Task):
    product = Product(
        code="Q", calendar=ONE_SHIFT, demand=Demand(quantity=200, period="day"), tasks=tasks
    )
    return quality_figures(product).inspections


def test_an_inspection_pays_from_its_break_even_share_on():
    # 10 s of looking, 60 s of repair here, 260 s at the next: from 10 / 200 = 5 % on
    (pays,) = figures(look("10", 0.94, 60), look("20", 0.99, 260))
    (idle,) = figures(look("10", 0.96, 60), look("20", 0.99, 260))
    assert "left out: none; then" in pays.numbers[-1].worked
    assert pays.numbers[0].value == 0.05
    # 10 + .04 x 60 + 10 + .01 x 260 = 25.0 today; left out: 10 + .05 x 260 = 23.0
    assert (
        "today 25 s; inspections that would be left out: 10; then 23 s" in idle.numbers[-1].worked
    )
    assert idle.numbers[-1].value == pytest.approx(23)


def test_a_repair_counts_as_often_as_it_is_done():
    # half of the repaired units fail again: 2 x 80 s at the next gate, 10 / (160 - 60)
    (got,) = figures(look("10", 0.94, 60), look("20", 0.99, 80, again=0.5))
    assert got.numbers[0].value == 0.1


def test_a_test_is_kept_whatever_it_costs():
    test = look("10", 0.999, 60, hand_s=100)
    kind = QualityStep(kind=QualityKind.SAFETY_TEST, first_pass_share=0.999, repair_ms=60_000)
    (got,) = figures(Task(number="10", time_ms=test.time_ms, quality=kind), look("20", 0.99, 61))
    assert "left out: none; then" in got.numbers[-1].worked


def test_one_gate_or_a_gate_without_repair_time_has_no_figures():
    assert figures(look("10", 0.9, 60)) == ()
    no_time = QualityStep(kind=QualityKind.INSPECTION, first_pass_share=0.9)
    assert figures(look("10", 0.9, 60), Task(number="20", quality=no_time)) == ()
