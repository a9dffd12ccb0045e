"""Random products that both the product folder and the workbook can hold.

What neither can hold is left out: names with blanks at their ends, lists whose
names hold semicolons, control characters, times finer than a millisecond, two
tasks of one number.
"""

import io
from dataclasses import fields
from datetime import UTC, date
from enum import StrEnum
from typing import Any, get_args, get_type_hints

from hypothesis import strategies as st

from stationflow.files.pictures import picture_checksum
from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Break,
    Calendar,
    Caution,
    Check,
    Confirmation,
    Costs,
    Demand,
    DemandPace,
    Effort,
    Ending,
    Equipment,
    Fault,
    FaultCount,
    FurtherJoin,
    Lift,
    Line,
    LineForm,
    Machine,
    Model,
    ModelTime,
    OperatorWork,
    Packing,
    Part,
    PartUse,
    Period,
    Picture,
    Plan,
    Product,
    Proof,
    QualityStep,
    ReachOptions,
    Shift,
    Side,
    Station,
    StationSetting,
    StationTime,
    Step,
    Stopped,
    Task,
    TaskLimits,
    TimeLag,
    ToolUse,
    Weekday,
)
from stationflow.model.size_limits import MOST_ALIKE
from stationflow.units import TimeUnit

texts = st.one_of(
    st.sampled_from(
        ["", "=1+1", "-5 °C", "'=x", "+", "@me", '"quoted", too', "a;b\nc", "007", "é日"]
    ),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn"]), max_size=12),
)
keys = st.text(st.sampled_from("0123456789abcÄ-_.=' "), min_size=1, max_size=6).filter(
    lambda key: key == key.strip()
)
list_names = keys.filter(lambda key: key not in {"-"})
times = st.integers(0, 10**8)
amounts = st.floats(0, 1e12, allow_nan=False).map(lambda number: number + 0.0)
shares = st.floats(0, 1)
turns = st.floats(0, 180)
wholes = st.integers(0, 10_000)
clocks = st.builds("{:02d}:{:02d}".format, st.integers(0, 23), st.integers(0, 59))
flags = st.sampled_from([None, True, False])


def some(what: st.SearchStrategy) -> st.SearchStrategy:
    """Return the same, or nothing."""
    return st.none() | what


def few(what: st.SearchStrategy, most: int = 2, unique_by=None) -> st.SearchStrategy:
    """Return a short tuple."""
    return st.lists(what, max_size=most, unique_by=unique_by).map(tuple)


def of_type(hint: Any) -> st.SearchStrategy:
    """Return values of a plain type, so that a new field is tried as soon as it is there."""
    if type(None) in get_args(hint):
        return some(of_type(next(each for each in get_args(hint) if each is not type(None))))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return st.sampled_from(hint)
    if hint == tuple[str, ...]:
        return few(list_names)
    return {str: texts, bool: st.booleans(), int: st.integers(1, MOST_ALIKE), float: amounts}[hint]


def record(kind: type, /, **kinds: st.SearchStrategy) -> st.SearchStrategy:
    """Return objects of a data class; fields not named are of their type."""
    hints = get_type_hints(kind)
    return st.builds(
        kind,
        **{name: kinds[name] if name in kinds else of_type(hints[name]) for name in hints},
    )


def tasks_of(number: str, numbers: list[str], lines: list[str], pictures: list[str]):
    """Return tasks of one number."""
    names = st.sampled_from(["", *pictures])
    others = few(st.sampled_from(numbers), unique_by=str)
    limits = record(
        TaskLimits,
        zone=st.just("") | keys,
        together=st.just("") | keys,
        apart=others,
        equipment=few(list_names),
        skill=st.just("") | keys,
        independent_of=others,
    )
    quality = record(
        QualityStep,
        process_ms=some(times),
        first_pass_share=some(shares),
        repeat_pass_share=some(shares),
        scrap_share=some(shares),
        repair_ms=some(times),
        positions=some(wholes),
        empty_share=shares,
        aql_percent=some(st.floats(0, 100)),
    )
    return record(
        Task,
        number=st.just(number),
        line=st.sampled_from(lines),
        time_ms=some(times),
        predecessors=others,
        model_times=few(record(ModelTime, model=keys, time_ms=times)),
        station_times=few(record(StationTime, time_ms=times)),
        time_sd_ms=some(times),
        picture=names,
        steps=few(record(Step, picture=names, time_ms=some(times))),
        parts=few(record(PartUse, part=keys, quantity=amounts)),
        tools=few(record(ToolUse, tool=keys)),
        checks=few(record(Check)),
        cautions=few(record(Caution)),
        limits=st.just(TaskLimits()) | limits,
        quality=some(quality),
        lift=some(record(Lift, from_turn_deg=some(turns), to_turn_deg=some(turns))),
    )


@st.composite
def products(draw: st.DrawFn, pictures: dict[str, bytes]) -> Product:
    """Draw a product that lists the given pictures in any order."""
    numbers = draw(st.lists(keys, max_size=4, unique=True))
    line_names = draw(st.lists(keys, min_size=1, max_size=3, unique=True))
    lines = tuple(draw(lines_of(name)) for name in line_names)
    names = draw(st.permutations(list(pictures)))
    tasks = [draw(tasks_of(n, numbers, line_names, list(pictures))) for n in numbers]
    return Product(
        code=draw(keys),
        name=draw(texts),
        author=draw(texts),
        remarks=draw(texts),
        time_unit=draw(st.sampled_from(TimeUnit)),
        calendar=draw(calendars),
        demand=draw(demands),
        reach=draw(reaches),
        lines=lines,
        models=draw(few(record(Model, name=keys, share=shares))),
        tasks=tuple(tasks),
        parts=draw(few(parts)),
        equipment=draw(few(equipment)),
        lags=draw(few(lags)),
        joins=draw(few(joins)),
        machines=draw(few(machines)),
        packing=draw(packings),
        faults=draw(few(faults)),
        tally=draw(few(tallies)),
        costs=draw(costs),
        pictures=tuple(Picture(name=n, checksum=picture_checksum(pictures[n])) for n in names),
    )


def lines_of(name: str) -> st.SearchStrategy:
    """Return lines of one name."""
    stations = record(
        StationSetting,
        number=st.integers(1, 99),
        operators=st.integers(0, MOST_ALIKE),
        copies=st.integers(1, 9),
        target_share=some(shares),
        zone=st.just("") | keys,
        equipment=few(list_names),
    )
    return record(
        Line,
        name=st.just(name),
        feeds=st.just("") | keys,
        join=st.just("") | keys,
        quantity=amounts,
        yield_share=shares,
        replacement_share=shares,
        copies=st.integers(1, 9),
        repositioning_ms=times,
        turn_ms=times,
        form=st.sampled_from(LineForm),
        pitch_m=some(amounts),
        buffer_places=wholes,
        stations=few(stations),
    )


shifts = record(
    Shift, name=keys, start=clocks, end=clocks, breaks=few(record(Break, minutes=amounts))
)
calendars = record(
    Calendar, days=few(st.sampled_from(Weekday), 7, str), shifts=few(shifts, 3, lambda s: s.name)
)
demands = record(
    Demand,
    quantity=some(amounts),
    period=st.sampled_from(Period),
    yield_share=shares,
    availability=shares,
)
reaches = record(ReachOptions, **{f.name: some(amounts) for f in fields(ReachOptions)})
parts = record(
    Part,
    number=keys,
    quantity=some(amounts),
    container_quantity=some(amounts),
    weight_g=some(amounts),
    present_share=shares,
)
equipment = record(
    Equipment,
    name=keys,
    quantity=wholes,
    mtbf_min=some(amounts),
    mttr_min=some(amounts),
    cost=some(amounts),
)
lags = record(TimeLag, before=keys, after=keys, shortest_ms=some(times), longest_ms=some(times))
joins = record(
    FurtherJoin, line=keys, feeds=keys, join=keys, quantity=amounts, replacement_share=shares
)
machines = record(
    Machine, name=keys, line=keys, task=st.just("") | keys, yield_share=shares, piece_ms=some(times)
)
packings = record(Packing)
faults = record(
    Fault,
    code=keys,
    gate=st.just("") | keys,
    task=st.just("") | keys,
    part=st.just("") | keys,
)
days = st.dates().map(date.isoformat)
tallies = record(FaultCount, date=days, fault=keys, count=wholes)
costs = record(Costs)

operators = st.builds(OperatorWork, tasks=few(st.tuples(keys, wholes)))
plans = st.builds(
    Plan,
    product=keys,
    name=texts,
    result=st.builds(
        BalanceResult,
        line=keys,
        asked=st.builds(
            BalanceSettings,
            method=texts,
            limit=some(times),
            trials=some(wholes),
            memory_mb=some(wholes),
            nodes=some(wholes),
        ),
        pace=st.builds(DemandPace, takt_time=some(times), station_time=some(times)),
        assignment=some(
            st.builds(
                Assignment,
                stations=few(
                    st.builds(
                        Station,
                        number=wholes,
                        operators=few(operators),
                        work_ticks=wholes,
                        model_ticks=few(st.tuples(keys, wholes)),
                        place=texts,
                        side=some(st.sampled_from(Side)),
                    )
                ),
            )
        ),
        proof=st.builds(
            Proof,
            ending=some(st.sampled_from(Ending)),
            lower_bound=amounts,
            bounds=few(st.tuples(texts, amounts)),
            limits_kept=few(texts),
            stopped=some(st.sampled_from(Stopped)),
        ),
        effort=st.builds(Effort, nodes=wholes, memory_mb=amounts),
    ),
    confirmation=some(
        st.builds(
            Confirmation,
            engine=texts,
            agrees=some(st.booleans()),
            said=texts,
            runtime_s=amounts,
        )
    ),
    at=some(st.datetimes(timezones=st.just(UTC))),
)


def drawn_picture(kind: str, width: int = 40, height: int = 30, colour: str = "navy") -> bytes:
    """Return a plain picture of one colour."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(out, kind)
    return out.getvalue()
