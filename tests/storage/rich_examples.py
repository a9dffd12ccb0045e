"""A product and a curve with every field filled, as the frozen examples of stored forms say."""

from dataclasses import replace
from datetime import UTC, datetime

from stationflow.model import (
    Break,
    Calendar,
    Caution,
    Check,
    CurvePoint,
    CurveSettings,
    CycleCurve,
    Demand,
    Equipment,
    Hazard,
    Line,
    LineForm,
    Model,
    ModelTime,
    Part,
    PartUse,
    Period,
    Picture,
    Product,
    QualityKind,
    QualityStep,
    ReachOptions,
    Shift,
    Side,
    StationSetting,
    Step,
    StoredCurve,
    Task,
    TaskLimits,
    TimeLag,
    ToolUse,
    Weekday,
)
from stationflow.units import TimeUnit

PICTURE = "c47dd9465c00e9a0c8b85e9ea58d3034a0d23b9cf926113602f3460752a4eb96"
LIMITS = TaskLimits(
    station=1,
    zone="wet",
    together="g1",
    apart=("30",),
    equipment=("press",),
    side=Side.LEFT,
    attitude="face down",
    working_height_mm=950.5,
    space_mm=600,
    lift_kg=12.5,
    skill="rigger",
    static_safe=True,
    guarded=True,
    independent_of=("20",),
    while_moving=False,
    crossing=True,
)
HOUSING = Task(
    number="10",
    name="Fit housing",
    time_ms=12_500,
    model_times=(ModelTime(model="S", time_ms=11_250), ModelTime(model="L", time_ms=14_001)),
    machine=True,
    time_sd_ms=750,
    time_source="stop watch 2026-01-05",
    picture="housing.png",
    steps=(
        Step(
            text="Lift the housing.",
            key_point="both hands",
            reason="it is heavy",
            picture="housing.png",
            time_ms=4500,
        ),
        Step(text="Set it down.", time_ms=8000),
    ),
    parts=(PartUse(part="P-7", quantity=2.5), PartUse(part="P-8")),
    tools=(ToolUse(tool="torque driver", setting="1.2 Nm"), ToolUse(tool="cloth")),
    checks=(
        Check(
            text="Gap",
            limit="< 0.3 mm",
            method="feeler gauge",
            frequency="every 10th",
            record="sheet 4",
            reaction="Call the leader.",
        ),
        Check(text="Seated"),
    ),
    cautions=(
        Caution(hazard=Hazard.HEAVY, text="Lift with both hands."),
        Caution(hazard=Hazard.STATIC),
    ),
    limits=LIMITS,
)
PUMP = Product(
    code="R-1",
    name="Pumpe für Öl",
    author="ana",
    remarks="First series, two models.",
    time_unit=TimeUnit.MINUTE,
    calendar=Calendar(
        days=(Weekday.MONDAY, Weekday.TUESDAY, Weekday.SATURDAY),
        shifts=(
            Shift(
                name="early",
                start="06:00",
                end="14:30",
                breaks=(Break(name="breakfast", minutes=15.5), Break(name="lunch", minutes=30)),
            ),
            Shift(name="night", start="22:00", end="06:00"),
        ),
    ),
    demand=Demand(quantity=1500.5, period=Period.DAY, yield_share=0.98, availability=0.9),
    reach=ReachOptions(overtime_limit_h=8, overtime_cost=120.5, shift_cost=5000, line_cost=9000.25),
    lines=(
        Line(
            name="main",
            title="Assembly",
            yield_share=0.99,
            replacement_share=0.01,
            copies=2,
            repositioning_ms=1250,
            form=LineForm.U_LINE,
            pitch_m=1.5,
            stations=(
                StationSetting(
                    number=1,
                    operators=2,
                    copies=3,
                    target_share=0.9,
                    zone="wet",
                    equipment=("press", "tester"),
                ),
                StationSetting(number=2),
            ),
        ),
        Line(
            name="motor",
            title="Motors",
            feeds="main",
            join="20",
            quantity=2,
            yield_share=0.97,
            replacement_share=0.02,
            repositioning_ms=500,
            form=LineForm.TWO_SIDED,
            pitch_m=0.8,
            buffer_places=6,
        ),
    ),
    models=(Model(name="S", title="Small", share=0.6), Model(name="L", title="Large", share=0.4)),
    tasks=(
        HOUSING,
        Task(
            number="20",
            name="Join motor",
            time_ms=30_000,
            predecessors=("10",),
            limits=TaskLimits(together="g1", side=Side.EITHER, while_moving=True, crossing=False),
        ),
        Task(
            number="30",
            name="Test",
            time_ms=100,
            predecessors=("20", "10"),
            quality=QualityStep(
                kind=QualityKind.SAFETY_TEST,
                process_ms=60_500,
                first_pass_share=0.95,
                repeat_pass_share=0.8,
                scrap_share=0.1,
                repair_ms=300_250,
                positions=3,
                power_w=45.5,
            ),
        ),
        Task(
            number="40",
            name="Not timed yet",
            predecessors=("30",),
            quality=QualityStep(kind=QualityKind.SOAK),
        ),
        Task(number="M1", name="Wind", line="motor", time_ms=25_000),
        Task(number="M2", name="Press", line="motor", time_ms=33_333, predecessors=("M1",)),
    ),
    parts=(
        Part(
            number="P-7",
            name="Seal",
            quantity=5,
            unit="m",
            container="blue B",
            container_quantity=100.5,
            weight_g=3.25,
        ),
        Part(number="P-8"),
    ),
    equipment=(
        Equipment(name="press", quantity=2, mtbf_min=4000.5, mttr_min=30.25, cost=12000.5),
        Equipment(name="tester"),
    ),
    lags=(
        TimeLag(before="10", after="20", shortest_ms=3500, longest_ms=600_000),
        TimeLag(before="20", after="30", longest_ms=90_250),
    ),
    pictures=(Picture(name="housing.png", checksum=PICTURE),),
)
"""All that form 1 could say."""
BETWEEN = replace(LIMITS, station=None, earliest_station=1, latest_station=3)
PRODUCTS = {
    "product_1": PUMP,
    "product_1_small": Product(code="P-1"),
    "product_2": replace(PUMP, tasks=(replace(HOUSING, limits=BETWEEN), *PUMP.tasks[1:])),
    "product_2_small": Product(code="P-1"),
}
CHECKSUM = "862fb0e7f39c9d22e27366e859e2e0c79737f64662523938b50bd996d2dd938e"
MOTORS = StoredCurve(
    product="R-1",
    product_version=3,
    product_checksum=CHECKSUM,
    by="ben",
    at=datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
    settings=CurveSettings(
        method="comsoal", seconds=None, seconds_each=2.5, seed=3, cores=2, memory_mb=256
    ),
    curve=CycleCurve(
        line="motor",
        points=(
            CurvePoint(stations=1, cycle=58.333, lower_bound=58.333, plan=(("M1", "M2"),)),
            CurvePoint(stations=2, cycle=33.333, lower_bound=30.5, plan=(("M1",), ("M2",))),
        ),
        tasks=2,
        work_content=58.333,
        longest=33.333,
        method="comsoal",
        engine="stationflow 0.1.0",
        runtime_s=1.25,
    ),
)
CURVES = {"curve_1": MOTORS, "curve_2": replace(MOTORS, inputs="0" * 64)}
