"""What the frozen examples of forms say: together they fill every field that is stored.

An example and what it says are never changed. A field that comes new gets an example of its own.
"""

from dataclasses import replace
from datetime import UTC, datetime

from stationflow.files.codec import CONFIRMATION, CURVE, HAND_WORK, PLAN, PRODUCT
from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Break,
    Calendar,
    Caution,
    Check,
    Confirmation,
    Conveyor,
    Costs,
    Coupling,
    CurvePoint,
    CurveSettings,
    CycleCurve,
    Demand,
    DemandPace,
    Direction,
    DropProcedure,
    Effort,
    Ending,
    Equipment,
    Fault,
    FaultCount,
    Finding,
    FinerGoal,
    FurtherJoin,
    HandWork,
    Hazard,
    Lift,
    LiftDuration,
    LiftOutside,
    Line,
    LineForm,
    Machine,
    MachineKind,
    Model,
    ModelTime,
    Move,
    OperatorWork,
    PackForm,
    Packing,
    Part,
    PartUse,
    Period,
    Picture,
    Pins,
    Plan,
    Product,
    Proof,
    QualityKind,
    QualityStep,
    Reached,
    ReachOptions,
    Rebalanced,
    Reentry,
    SampleLevel,
    Severity,
    Shift,
    Side,
    Station,
    StationSetting,
    StationTime,
    Step,
    Stopped,
    StoredCurve,
    Task,
    TaskLimits,
    TimeLag,
    ToolUse,
    Upheaval,
    Weekday,
    error,
)
from stationflow.model.by_hand import HandAct, HandMove, HandStep
from stationflow.model.cell_place import CellPlace
from stationflow.model.unread import Unread, UnreadCell, Use
from stationflow.model.way_out import NewEntry, WayOut
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
FLOW = replace(
    PUMP,
    lines=(
        replace(
            PUMP.lines[0],
            stations=(
                replace(
                    PUMP.lines[0].stations[0],
                    length_m=1.8,
                    places_after=2,
                    mtbf_min=600.5,
                    mttr_min=4.25,
                ),
                PUMP.lines[0].stations[1],
            ),
            conveyor=Conveyor.CONTINUOUS,
            between_places=1,
            hall_m=24.5,
            speed_limit_m_per_min=6.5,
            carriers=30,
            carrier_return_ms=90_500,
        ),
        replace(PUMP.lines[1], conveyor=Conveyor.HAND, transport_ms=45_250),
        Line(name="seal", title="Seal sets", feeds="main", join="10", bought_in=True),
    ),
    tasks=(
        replace(PUMP.tasks[0], other_lines=("motor",)),
        PUMP.tasks[1],
        replace(
            PUMP.tasks[2],
            quality=replace(
                PUMP.tasks[2].quality,
                repairers=2,
                repair_cv=0.8,
                reentry=Reentry.AFTER_TEST,
                empty_share=0.05,
                lot=500,
                sample_level=SampleLevel.II,
                aql_percent=0.65,
            ),
        ),
        replace(
            PUMP.tasks[3],
            quality=QualityStep(
                kind=QualityKind.SOAK,
                process_ms=600_000,
                handling_ms=20_500,
                spare_positions=2,
                outage_min=12.5,
                pitch_m=0.6,
            ),
        ),
        *PUMP.tasks[4:],
    ),
    parts=(replace(PUMP.parts[0], present_share=0.995, shortage_min=7.5), PUMP.parts[1]),
    joins=(FurtherJoin(line="seal", feeds="motor", join="M2", quantity=2, replacement_share=0.01),),
    machines=(
        Machine(
            name="Winder",
            kind=MachineKind.INSERTER,
            line="motor",
            task="M1",
            pieces=120,
            piece_ms=150,
            load_ms=4000,
            yield_share=0.99,
            magazine=2400,
            magazines=2,
            change_ms=180_000,
            count=2,
            places_before=4,
            places_after=6,
            mtbf_min=500.5,
            mttr_min=12.25,
            power_w=1500,
            cost=40_000,
        ),
        Machine(
            name="Oven",
            kind=MachineKind.IN_LINE,
            length_m=3.6,
            speed_m_per_min=1.2,
            spacing_m=0.4,
        ),
        Machine(name="Washer", kind=MachineKind.BATCH, process_ms=600_000, batch=24),
    ),
    packing=Packing(
        gross_kg=8.5,
        form=PackForm.BOX,
        length_mm=400,
        width_mm=300.5,
        height_mm=250,
        per_pallet=24,
        drop_procedure=DropProcedure.ISTA_1A,
        weakest_corner="2-3-5",
    ),
    faults=(
        Fault(code="F1", text="No start", gate="30", task="20", part="P-7", reaction="Repair it."),
        Fault(code="F2"),
    ),
    tally=(
        FaultCount(date="2026-03-02", fault="F1", count=7),
        FaultCount(date="2026-03-03", fault="F1"),
    ),
    costs=Costs(
        operator_cost_h=38.5, station_cost_week=120, space_cost_m2_week=2.25, line_width_m=4.5
    ),
)
"""What was added for the whole line."""
LIMITED = Product(
    code="R-2",
    lines=(
        Line(
            turn_ms=2500,
            height_range_mm=150.5,
            lift_kg=15.25,
            lifts_per_min=0.5,
            lifted_kg_per_min=4.75,
            stations=(
                StationSetting(
                    number=3,
                    equipment_possible=("press",),
                    equipment_barred=("oven", "tester"),
                    skills=("rigger", "solderer"),
                    width_mm=1200.5,
                    static_safe=True,
                    guarded=True,
                ),
            ),
        ),
    ),
    tasks=(
        Task(
            number="10",
            time_ms=8500,
            station_times=(
                StationTime(station=3, time_ms=9250),
                StationTime(station=4, time_ms=0),
            ),
            remark="The left hand goes first.",
            limits=TaskLimits(lift_kg=6.5, lifts=3),
            lift=Lift(
                from_reach_mm=300.5,
                from_height_mm=750,
                from_turn_deg=15,
                to_reach_mm=410,
                to_height_mm=1100.5,
                to_turn_deg=45,
                coupling=Coupling.FAIR,
                let_go=True,
                duration=LiftDuration.MODERATE,
                outside=LiftOutside.CLIMATE,
            ),
        ),
        Task(number="20", line="main", predecessors=("10",)),
    ),
    equipment=(Equipment(name="press", shared=True),),
    lags=(TimeLag(before="10", after="20", least_stations=1, most_stations=4),),
    unread=(
        Unread(
            finding=error("value-not-read", "Task 20", "Its time is 4 or 5.", "Enter one number."),
            uses=(Use.WORK, Use.CARDS),
            of_task="20",
            cell=UnreadCell(table="tasks", field="time_ms", key=("20",), text="4 or 5"),
        ),
        Unread(
            finding=error("value-not-read", "Station 3", "It has B operators.", "Enter a number."),
            uses=(Use.PACE, Use.FLOW),
            of_line="main",
            cell=UnreadCell(
                table="stations", field="operators", owner="main", key=("3",), text="B"
            ),
        ),
    ),
)
"""What was added for limits, lifting and cells that cannot be read."""
BETWEEN = replace(LIMITS, station=None, earliest_station=1, latest_station=3)
PRODUCTS = {
    "product_1": PUMP,
    "product_1_small": Product(code="P-1"),
    "product_2": replace(PUMP, tasks=(replace(HOUSING, limits=BETWEEN), *PUMP.tasks[1:])),
    "product_2_small": Product(code="P-1"),
    "product_2_flow": FLOW,
    "product_2_limits": LIMITED,
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
CURVES = {
    "curve_1": MOTORS,
    "curve_2": replace(MOTORS, inputs="0" * 64),
    "curve_2_limits": replace(
        MOTORS, curve=replace(MOTORS.curve, time_unit="unit", keeps_limits=True)
    ),
}
SUMMER = Plan(
    product="R-1",
    plan_id=7,
    name="Summer line",
    product_version=3,
    product_checksum=CHECKSUM,
    by="ana",
    at=datetime(2026, 3, 2, 8, 30, 15, 250_000, tzinfo=UTC),
    in_force=True,
    confirmation=Confirmation(
        engine="ortools 9.15", agrees=False, said="It found a better one.", runtime_s=0.5
    ),
    result=BalanceResult(
        line="main",
        asked=BalanceSettings(
            method="exact",
            stations=4,
            stations_from=2,
            direction=Direction.BOTH,
            seconds=2.5,
            trials=100,
            seed=7,
            cores=2,
            memory_mb=512,
            nodes=1000,
        ),
        pace=DemandPace(takt_time=50.25, operating_takt=46.75, station_time=45.5),
        assignment=Assignment(
            stations=(
                Station(
                    number=1,
                    operators=(OperatorWork(tasks=(("10", 0), ("20", 0))), OperatorWork()),
                    work_ticks=42_500,
                ),
                Station(number=2, operators=(OperatorWork(tasks=(("30", 0),)),), work_ticks=100),
            )
        ),
        proof=Proof(
            ending=Ending.FOUND,
            lower_bound=1.5,
            bounds=(("LB1", 1.0), ("LB2", 1.5)),
            stopped=Stopped.NODES,
        ),
        effort=Effort(
            engine="stationflow 0.1.0",
            direction=Direction.BACKWARDS,
            trials=100,
            nodes=999,
            memory_mb=12.5,
            runtime_s=0.125,
        ),
        findings=(
            Finding(
                severity=Severity.WARNING,
                code="limits-not-kept",
                where="Line main",
                message="Some limits are not kept.",
                hint="Check the plan by eye for what is named: no method keeps it yet.",
            ),
        ),
    ),
)
STATIONS = (
    Station(
        number=1,
        place="A 12",
        side=Side.LEFT,
        copies=2,
        operators=(
            OperatorWork(tasks=(("10", 0),)),
            OperatorWork(tasks=(("20", 12_500),)),
        ),
        work_ticks=42_500,
        model_ticks=(("S", 41_250), ("L", 44_001)),
    ),
    SUMMER.result.stations[1],
)
EMPTY = Plan(product="P-1", result=BalanceResult(line="main", asked=BalanceSettings()))
JIG = replace(
    SUMMER,
    inputs="0" * 64,
    remark="For the new jig.",
    archived=True,
    result=replace(
        SUMMER.result,
        asked=replace(SUMMER.result.asked, limit=44.25),
        assignment=Assignment(stations=STATIONS),
        proof=replace(SUMMER.result.proof, limits_kept=("zone",)),
    ),
)
TOO_LONG = (error("task-longer-than-limit", "Task 10", "It is longer.", "Split it."),)
JIG_TOO_LONG = replace(JIG, result=replace(JIG.result, findings=TOO_LONG))
PLACE = CellPlace(table="stations", field="skills", owner="main", key=("2",))
MOVED = Plan(
    product="R-1",
    plan_id=9,
    number=4,
    result=BalanceResult(
        line="main",
        asked=BalanceSettings(
            method="rebalance",
            limit=60.5,
            pins=Pins(tasks=(("10", 1), ("30", 2)), stations=(2,)),
            then=(FinerGoal.LEAST_EQUIPMENT, FinerGoal.SMOOTHEST),
        ),
        assignment=Assignment(
            stations=(
                Station(
                    number=1,
                    operators=(OperatorWork(tasks=(("10", 0), ("20", 42))),),
                    work_ticks=57,
                    cycle_ticks=60,
                ),
                Station(number=2, operators=(OperatorWork(tasks=(("30", 0),)),), work_ticks=33),
            )
        ),
        proof=Proof(
            ending=Ending.OPTIMAL,
            lower_bound=1,
            reached=(
                Reached(goal=FinerGoal.LEAST_EQUIPMENT, value=120.5, least=100.25, is_proven=True),
                Reached(goal=FinerGoal.SMOOTHEST, value=3.5),
            ),
        ),
        rebalanced=Rebalanced(
            was=(2, None),
            moves=(Move(task="20", old=2, new=1), Move(task="30", old=1, new=2)),
            closed=(3, 4),
            added=("15",),
            gone=("40", "50"),
            upheaval=Upheaval(moves=2, tools=3, skills=1, cards=4),
            weights=Upheaval(moves=10, tools=5, skills=2, cards=6),
            least=30,
            is_least=True,
        ),
        time_unit="unit",
        ticks=1,
        ways_out=(
            WayOut(
                said="Give station 2 the skill.",
                entries=(
                    NewEntry(place=PLACE, was=("rigger",), value=("rigger", "solderer")),
                    NewEntry(place=replace(PLACE, field="guarded"), was=False, value=True),
                    NewEntry(place=replace(PLACE, field="zone"), was="wet", value=""),
                    NewEntry(place=replace(PLACE, field="operators"), was=1, value=2),
                    NewEntry(place=replace(PLACE, field="target_share"), was=0.85),
                ),
            ),
            WayOut(said="Ask for more.", limit=65.5, stations=5),
        ),
    ),
)
HAND_WORK_ON_SUMMER = HandWork(
    product="R-1",
    plan_id=7,
    steps=(
        HandStep(
            act=HandAct.MOVE,
            task="20",
            station=3,
            is_new=True,
            moves=(
                HandMove(task="20", station=3, place=0),
                HandMove(task="30", station=3, place=1),
            ),
        ),
        HandStep(act=HandAct.INSERT, station=1),
        HandStep(act=HandAct.EMPTY, station=2, moves=(HandMove(task="10", station=1, place=0),)),
        HandStep(act=HandAct.REMOVE, station=2),
        HandStep(act=HandAct.PIN, task="10", station=1),
        HandStep(act=HandAct.LOCK, station=1),
    ),
    done=5,
    by="ben",
    at=datetime(2026, 3, 2, 9, 0, tzinfo=UTC),
)
PLANS = {
    "plan_1": SUMMER,
    "plan_1_small": EMPTY,
    "plan_2": JIG,
    "plan_2_takt": JIG_TOO_LONG,  # the finding was named after the takt
    "plan_3": JIG_TOO_LONG,
    "plan_2_small": EMPTY,
    "plan_3_rebalanced": MOVED,
}
EXAMPLES = {
    name: (kind, meant)
    for kind, those in (
        (PRODUCT, PRODUCTS),
        (PLAN, PLANS),
        (CURVE, CURVES),
        (HAND_WORK, {"hand_work_1": HAND_WORK_ON_SUMMER}),
        (CONFIRMATION, {"confirmation_1": SUMMER.confirmation}),
    )
    for name, meant in those.items()
}
"""By the name of its file, what kind of document each example is, and what it says."""
