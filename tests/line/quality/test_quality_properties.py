"""Whatever is entered, the quality flow has finite numbers that agree with their formulas."""

import math
from dataclasses import asdict, replace

from hypothesis import given, settings
from hypothesis import strategies as st
from small_products import ONE_SHIFT

from stationflow.line.quality.product_quality import quality_figures
from stationflow.model import (
    Conveyor,
    Demand,
    DropProcedure,
    Equipment,
    Line,
    PackForm,
    Packing,
    Period,
    Product,
    QualityKind,
    QualityStep,
    Reentry,
    SampleLevel,
    Task,
    TaskLimits,
)
from tests.printed_formulas import misses

plain_shares = (
    st.none()
    | st.sampled_from([0, 1, 0.5])
    | st.integers(1, 9_999).map(lambda number: number / 10_000)
)
shares = plain_shares | st.sampled_from([1e-6, 0.999999, 95, -1]) | st.floats(0, 1)
times = st.none() | st.sampled_from([0, 1, 10**8]) | st.integers(0, 10**7)
counts = st.none() | st.sampled_from([0, 1, 1000]) | st.integers(0, 100)
amounts = st.none() | st.sampled_from([0, 1e-6, 1e9]) | st.floats(0, 1e4)


def steps_with(shares: st.SearchStrategy) -> st.SearchStrategy:
    return st.builds(
        QualityStep,
        kind=st.sampled_from(QualityKind),
        process_ms=times,
        first_pass_share=shares,
        repeat_pass_share=shares,
        scrap_share=shares,
        repair_ms=times,
        positions=counts,
        power_w=amounts,
        repairers=counts,
        repair_cv=st.none() | st.integers(0, 100).map(lambda number: number / 10),
        reentry=st.sampled_from(Reentry),
        empty_share=shares.map(lambda share: share or 0),
        handling_ms=st.integers(0, 10**7),
        spare_positions=st.integers(0, 1000),
        outage_min=amounts,
        pitch_m=amounts,
        lot=st.none() | st.integers(0, 10**6),
        sample_level=st.none() | st.sampled_from(SampleLevel),
        aql_percent=st.none() | st.sampled_from([0.01, 0.65, 1, 1.2, 10]),
    )


packings = st.builds(
    Packing,
    gross_kg=amounts,
    form=st.none() | st.sampled_from(PackForm),
    length_mm=amounts,
    width_mm=amounts,
    height_mm=amounts,
    drop_procedure=st.none() | st.sampled_from(DropProcedure),
    weakest_corner=st.sampled_from(["", "1-4-6", "1-3-5", "corner", "2 - 3 - 5"]),
)


@st.composite
def products(draw: st.DrawFn, shares: st.SearchStrategy = shares) -> Product:
    tasks = tuple(
        Task(
            number=f"{number}",
            time_ms=draw(times),
            time_sd_ms=draw(times),
            machine=draw(st.booleans()),
            quality=step,
            limits=TaskLimits(equipment=draw(st.sampled_from([(), ("tester",)]))),
        )
        for number, step in enumerate(draw(st.lists(steps_with(shares), max_size=4)))
    )
    line = Line(
        carriers=draw(counts), conveyor=draw(st.sampled_from(Conveyor)), copies=draw(st.just(1))
    )
    demand = Demand(quantity=draw(st.none() | st.floats(1e-3, 1e6)), period=Period.DAY)
    tester = Equipment(name="tester", mtbf_min=draw(amounts), mttr_min=draw(amounts))
    return Product(
        code="Q",
        calendar=ONE_SHIFT,
        demand=demand,
        lines=(line,),
        tasks=tasks,
        equipment=(tester,),
        packing=draw(packings),
    )


def floats_in(value: object) -> list[float]:
    if isinstance(value, dict):
        return [each for one in value.values() for each in floats_in(one)]
    if isinstance(value, list | tuple):
        return [each for one in value for each in floats_in(one)]
    return [value] if isinstance(value, float) else []


@settings(max_examples=150)
@given(product=products())
def test_whatever_is_entered_every_number_is_finite(product: Product):
    got = quality_figures(product)
    assert all(map(math.isfinite, floats_in(asdict(got))))


@settings(max_examples=60)
@given(product=products(plain_shares))
def test_whatever_is_entered_the_formulas_give_their_numbers(product: Product):
    numbers = quality_figures(product).numbers
    worked = [n for n in numbers if not any(sign in n.worked for sign in ("^", "ln("))]
    assert [miss for number in worked for miss in misses(number)] == []
    assert [number for number in numbers if number.check.startswith("Differs")] == []


@settings(max_examples=60)
@given(product=products(), more=st.integers(1, 3))
def test_more_repairers_never_make_the_wait_longer(product: Product, more: int):
    def waits(extra: int) -> list[float | None]:
        tasks = tuple(
            replace(task, quality=replace(task.quality, repairers=5 + extra, positions=None))
            for task in product.tasks
            if task.quality
        )
        return [g.bench_wait_s for g in quality_figures(replace(product, tasks=tasks)).gates]

    for few, many in zip(waits(0), waits(more), strict=True):
        assert few is None or (many is not None and many <= few + 1e-9)
