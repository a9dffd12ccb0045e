"""Random products whose lines can be paced and balanced, with numbers that do not come out even."""

from hypothesis import strategies as st

from stationflow.model import (
    Break,
    Calendar,
    Demand,
    Line,
    Model,
    ModelTime,
    Part,
    PartUse,
    Period,
    Product,
    Shift,
    Task,
    Weekday,
)
from stationflow.units import TimeUnit

shares = st.one_of(
    st.sampled_from([1.0, 0.95, 0.9, 1 / 3]), st.floats(0.05, 1), st.decimals("0.1", 1, places=3)
).map(float)
minutes = st.one_of(
    st.sampled_from([0.0, 30.0, 20.0, 500.0]), st.decimals(0, 90, places=2).map(float)
)
quantities = st.one_of(st.integers(1, 3000), st.decimals(1, 900, places=2), st.floats(1, 5000))
times = st.one_of(st.just(0), st.integers(1, 90).map(lambda s: 1000 * s), st.integers(1, 120_000))


@st.composite
def shifts(draw: st.DrawFn) -> tuple[Shift, ...]:
    """Draw one to three shifts; the breaks of a later one may be longer than it."""
    found = []
    for number in range(draw(st.integers(1, 3))):
        first, length = 360 + 480 * number, draw(st.sampled_from([480, 300, 240, 7 * 60 + 7]))
        clocks = [f"{m // 60 % 24:02d}:{m % 60:02d}" for m in (first, first + length)]
        stops = draw(st.lists(minutes, max_size=2)) if number else [draw(st.floats(0, 90))]
        breaks = tuple(Break(name=f"b{at}", minutes=stop) for at, stop in enumerate(stops))
        found.append(Shift(name=f"s{number}", start=clocks[0], end=clocks[1], breaks=breaks))
    return tuple(found)


@st.composite
def paced_products(draw: st.DrawFn) -> Product:
    """Draw a product with a main line, perhaps a feeder, models and parts."""
    models = tuple(
        Model(name=f"m{n}", share=draw(shares)) for n in range(draw(st.sampled_from([0, 0, 1, 3])))
    )
    main = Line(
        copies=draw(st.integers(1, 3)),
        repositioning_ms=draw(st.sampled_from([0, 0, 1500, 2718])),
    )
    feeder = Line(
        name="board",
        feeds="main",
        quantity=float(draw(st.one_of(st.integers(1, 4), st.decimals("0.1", 5, places=3)))),
        yield_share=draw(shares),
        replacement_share=draw(st.floats(0, 0.5)),
        copies=draw(st.integers(1, 2)),
    )
    tasks = []
    for line, most in (("main", 18), ("board", 3)):
        size = draw(st.integers(1, most))
        for number in range(size):
            earlier = [f"{line[0]}{n}" for n in range(number)]
            before = (
                draw(st.lists(st.sampled_from(earlier), max_size=2, unique=True)) if earlier else []
            )
            used = draw(st.sampled_from([0.0, 0.0, 1.0, 2.5, 0.333]))
            of_models = tuple(
                ModelTime(model=m.name, time_ms=draw(times)) for m in models if draw(st.booleans())
            )
            tasks.append(
                Task(
                    number=f"{line[0]}{number}",
                    line=line,
                    time_ms=draw(times),
                    predecessors=tuple(before),
                    model_times=of_models,
                    parts=(PartUse(part="P-1", quantity=used),) if used else (),
                )
            )
    return Product(
        code="R-1",
        time_unit=draw(st.sampled_from(TimeUnit)),
        calendar=Calendar(shifts=draw(shifts()), days=tuple(Weekday)[: draw(st.integers(1, 5))]),
        demand=Demand(
            quantity=float(draw(quantities)),
            period=draw(st.sampled_from(Period)),
            yield_share=draw(shares),
            availability=draw(shares),
        ),
        lines=(main, feeder),
        models=models,
        tasks=tuple(tasks),
        parts=(Part(number="P-1"),),
    )
