"""Every code of the table of findings comes out of something small that an engineer may have."""

import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from unittest.mock import patch

import pytest
from small_plans import answer, station
from small_products import ANA, BOARD_LAMP, LAMP, MIXED, TOO_LONG, put_in, write_folder

from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import open_source, opened_draft, unreadable_findings
from stationflow.actions.plans.opened_balancing import balance_opened
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.showing.checking import check_opened, check_product
from stationflow.actions.showing.explaining import explain_opened, why_missing
from stationflow.balancing.balance import balance, balance_product
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.methods import METHODS
from stationflow.balancing.rebalance.rebalancing import rebalance_product
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.cards import station_cards
from stationflow.files.instances import read_instance
from stationflow.line.joint.joint_balance import joint_balance
from stationflow.line.machines.machine_figures import machine_figures
from stationflow.line.plan_checks import check_plans
from stationflow.line.quality.product_quality import quality_figures
from stationflow.line.simulation.flow_model import (
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    gate_of_test,
)
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.replications import simulate_flow
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    CODES,
    BalanceSettings,
    Break,
    Check,
    DropProcedure,
    Equipment,
    Fault,
    FaultCount,
    Finding,
    FurtherJoin,
    Lift,
    Line,
    LineForm,
    LinePlan,
    Machine,
    MachineKind,
    Model,
    ModelTime,
    Packing,
    PartUse,
    Plan,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Reentry,
    SampleLevel,
    Shift,
    StationSetting,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)
from stationflow.storage import Store, open_store

A_LIFT = Lift(from_reach_mm=400, from_height_mm=900, to_height_mm=900)  # no reach at the end
PRESS = Machine(name="Press", kind=MachineKind.PRESS, piece_ms=7_000)
RULE = BalanceSettings(method="largest-candidate", limit=60)
Made = Iterable[Finding]


def task(number: str = "10", *before: str, **more: object) -> Task:
    return replace(Task(number=number, time_ms=10_000, predecessors=before), **more)


def of(*tasks: Task, **more: object) -> Made:
    """Return the findings about a product of these tasks with calendar and demand of the lamp."""
    return check_product(replace(LAMP, tasks=tasks, parts=(), pictures=(), **more))


def rebalanced(*tasks: str) -> Made:
    """Return the findings about the lamp rebalanced from one station of these tasks."""
    asked = BalanceSettings(limit=60)
    return rebalance_product(LAMP, "main", [GivenStation(1, tasks)], asked).findings


def lamp(**more: object) -> Made:
    return check_product(replace(LAMP, **more))


def board(**more: object) -> Made:
    """Return the findings about the lamp with another feeder."""
    return check_product(replace(BOARD_LAMP, lines=(Line(), replace(BOARD_LAMP.lines[1], **more))))


def joined(*tasks: str) -> Made:
    """Return the findings about the lamp whose board is needed at further tasks."""
    joins = tuple(FurtherJoin(line="board", feeds="main", join=task) for task in tasks)
    return check_product(replace(BOARD_LAMP, joins=joins))


def machine(**more: object) -> Made:
    """Return the findings about the lamp with a press of 7 s a unit."""
    return lamp(machines=(replace(PRESS, **more),))


def paced(**more: object) -> Made:
    """Return the findings about a press at a pace of 6 s."""
    return machine_figures(replace(PRESS, **more), Fraction(6)).findings


def joins_planned() -> Made:
    """Return the findings about a lamp with two feeders that join at one station."""
    loom = replace(BOARD_LAMP.lines[1], name="loom", bought_in=True)
    product = replace(BOARD_LAMP, lines=(*BOARD_LAMP.lines, loom))
    result = answer(station(1, [task.number for task in product.tasks_of("main")]))
    return check_plans(product, ProductPlan(lines=(LinePlan(line="main", result=result),)))


def planned(main: object = None, **of_board: object) -> Made:
    """Return the findings about the lamp with its board and plans of both, one station each."""
    lines = (main or Line(), replace(BOARD_LAMP.lines[1], **of_board))
    product = replace(BOARD_LAMP, lines=lines)
    plans = []
    for line, limit in (("main", 150.0), ("board", 38.0)):
        tasks = tuple(task.number for task in product.tasks_of(line))
        held = station(1, [n for n in tasks if n != of_board.get("join")], limit)
        plans.append(LinePlan(line=line, result=answer(held, line=line, limit=limit)))
    return whole_line(product, ProductPlan(lines=tuple(plans))).findings


def simulated(units: int = 1, passes: float = 1.0, stop_after: int = 9, **settings: float) -> Made:
    """Return the findings about a station of 60 s and a soak that so many units fill."""
    soak = Duration(mean_s=60.0 * units, sd_s=1)
    test = FlowStation(work=soak, input=0, servers=units + 1, gate=gate_of_test(passes))
    start = FlowStation(work=Duration(mean_s=60), to=0)
    model = FlowModel(stations=(start, test), buffers=(FlowBuffer(places=1),))
    asked = SimulationSettings(**{"hours": 10, "replications": 4, **settings})
    return simulate_flow(model, asked, lambda done, of: done < stop_after).findings


def demand(**more: object) -> Made:
    return lamp(demand=replace(LAMP.demand, **more))


def shifts(*all_shifts: Shift, **of_demand: object) -> Made:
    return lamp(
        calendar=replace(LAMP.calendar, shifts=all_shifts),
        demand=replace(LAMP.demand, **of_demand),
    )


def shift(name: str, start: str, end: str, **breaks: float) -> Shift:
    all_breaks = tuple(Break(name=name, minutes=minutes) for name, minutes in breaks.items())
    return Shift(name=name, start=start, end=end, breaks=all_breaks)


def balanced(product: Product, **asked: object) -> Made:
    return balance_product(product, "main", replace(RULE, **asked)).findings


def quality_findings(product: Product) -> Made:
    return quality_figures(product).findings


def quality(kind: QualityKind = QualityKind.FUNCTION_TEST, **step: object) -> Made:
    """Return what the quality flow of the lamp says of one more task with this test or soak."""
    test = QualityStep(kind=kind, **step)  # type: ignore[arg-type]
    return quality_findings(replace(LAMP, tasks=(*LAMP.tasks, task("90", quality=test))))


def packed(**packing: object) -> Made:
    said = Packing(drop_procedure=DropProcedure.ISTA_1A, **packing)  # type: ignore[arg-type]
    return quality_findings(replace(LAMP, packing=said))


def at_station_2(**said: object) -> Line:
    return Line(stations=(StationSetting(number=2, **said),))  # type: ignore[arg-type]


def limited(
    *stations: tuple[str, ...],
    of_line: Line | None = None,
    lags: tuple[TimeLag, ...] = (),
    equipment: tuple[Equipment, ...] = (),
    **limits: TaskLimits,
) -> Made:
    """Return what `verify` says of stations; the tasks t1 and t2 have these limits."""
    tasks = tuple(task(n, limits=limits.get(n, TaskLimits())) for n in ("t1", "t2"))
    line = of_line or Line()
    product = replace(LAMP, tasks=tasks, lines=(line,), lags=lags, equipment=equipment)
    work, _ = line_work(product, "main")
    assert work is not None
    return verify(work, stations, limit=15, most_stations=2)


def ordered(*stations: tuple[str, ...]) -> Made:
    work, _ = line_work(replace(LAMP, tasks=(task("t1"), task("t2", "t1"))), "main")
    assert work is not None
    return verify(work, stations)


def a_test(**said: object) -> Made:
    """Return the findings about a product with one test."""
    step = QualityStep(**{"kind": QualityKind.FUNCTION_TEST, **said})  # type: ignore[arg-type]
    return of(task(quality=step))


def cards(**more: object) -> Made:
    product = replace(LAMP, **more)
    result = balance_product(product, "main", RULE)
    plan = Plan(product=product.code, result=result)
    return station_cards(product, plan, version_label="1")[1]


def folder(name: str = "", content: bytes = b"") -> Callable[[Path], Made]:
    """Return what reads the lamp's folder with one file more, or another one."""

    def read(path: Path) -> Made:
        lamps = write_folder(path, LAMP)
        (lamps / name).write_bytes(content)
        return open_source(str(lamps)).findings

    return read


def explained(path: Path) -> Made:
    """Return what is said when the limit of a plan is asked for that has none."""
    store = open_store(f"sqlite:///{path}/store.db")
    draft = put_in(store, LAMP)
    balance_and_keep(store, draft, "main", replace(RULE, limit=None, stations=3), **ANA)
    asked = explain_opened(opened_draft(store, store.draft(LAMP.code)), None, None)
    return why_missing(asked, "limit")


def without_font() -> Made:
    with patch("stationflow.cards.fonts.font_of", return_value=None):
        return of(task(name="Press \U00012000"))  # a cuneiform sign


def without_tasks(path: Path) -> Made:
    (write_folder(path, LAMP) / "tasks.csv").unlink()
    return open_source(str(path / LAMP.code)).findings


def instance(path: Path) -> Made:
    file = path / "a.IN2"
    file.write_text("2\n5\n6\n3,3\n-1,-1\n", "utf-8")
    return read_instance(file).findings


def stored(path: Path) -> Store:
    store = open_store(f"sqlite:///{path}/store.db")
    balance_and_keep(store, put_in(store, LAMP), "main", RULE, **ANA)
    return store


def again(path: Path) -> Made:
    store = stored(path)
    return balance_opened(opened_draft(store, store.draft(LAMP.code)), "main", RULE).findings


def of_a_method_that_keeps_little() -> Made:
    """Return what is said of a plan by a method that knows times and order only."""
    first, *others = LAMP.tasks
    apart = replace(first, limits=TaskLimits(apart=tuple(each.number for each in others)))
    plain = {"exact": replace(METHODS["exact"], keeps=frozenset())}
    with patch.dict(METHODS, plain):
        return balanced(replace(LAMP, tasks=(apart, *others)), method="exact")


def changed(path: Path) -> Made:
    store = stored(path)
    base = store.draft(LAMP.code)
    tasks = (replace(LAMP.tasks[0], time_ms=31_000), *LAMP.tasks[1:])
    draft = store.save(replace(LAMP, tasks=tasks), base=base.checksum, **ANA)
    return check_opened(opened_draft(store, draft))


def damaged(path: Path) -> Made:
    stored(path).close()
    with closing(sqlite3.connect(path / "store.db")) as file, file:
        file.execute("UPDATE plans SET document = substr(document, 1, 40)")
    store = open_store(f"sqlite:///{path}/store.db")
    return unreadable_findings(store, LAMP.code)


def unplanned(path: Path) -> Made:
    return choose_plan(open_source(str(write_folder(path, LAMP))), None, None).findings


LONG = task(time_ms=75_000)
FREE = replace(
    BOARD_LAMP, tasks=tuple(replace(t, other_lines=("board",)) for t in BOARD_LAMP.tasks)
)
EXAMPLES: dict[str, Callable[[], Made] | Callable[[Path], Made]] = {
    "task-without-number": lambda: of(task("")),
    "duplicate-task": lambda: of(task(), task()),
    "lookalike-numbers": lambda: of(task("10"), task("010")),
    "task-without-time": lambda: of(task(time_ms=None)),
    "task-time-zero": lambda: of(task(time_ms=0)),
    "time-too-long": lambda: (
        balance(
            LineWork(line="main", numbers=("1",), times=(2**54,), predecessors=((),)), RULE
        ).findings
    ),
    "time-rounded": folder("tasks.csv", b"number,time_s\n10,1.0004\n"),
    "unknown-predecessor": lambda: of(task("10", "99")),
    "unknown-apart": lambda: of(task(limits=TaskLimits(apart=("99",)))),
    "unknown-independent-of": lambda: of(task(limits=TaskLimits(independent_of=("99",)))),
    "unknown-equipment": lambda: of(
        task(limits=TaskLimits(equipment=("oven",))), equipment=(Equipment(name="press"),)
    ),
    "unknown-zone": lambda: of(
        task(limits=TaskLimits(zone="wet")),
        lines=(Line(stations=(StationSetting(number=1, zone="dry"),)),),
    ),
    "unknown-lag": lambda: of(task(), lags=(TimeLag(before="10", after="99"),)),
    "unknown-task": lambda: lamp(machines=(Machine(name="M1", kind=MachineKind.PRESS, task="99"),)),
    "unknown-fault": lambda: lamp(tally=(FaultCount(date="2026-03-02", fault="F9"),)),
    "own-predecessor": lambda: of(task("10", "10")),
    "precedence-circle": lambda: of(task("10", "20"), task("20", "10")),
    "redundant-arrow": lambda: of(task("1"), task("2", "1"), task("3", "1", "2")),
    "task-without-follower": lambda: of(task("1"), task("2", "1"), task("3", "1")),
    "no-main-line": lambda: lamp(lines=(Line(), Line(name="other"))),
    "duplicate-line": lambda: lamp(lines=(Line(), Line())),
    "unknown-line": lambda: of(task(line="nowhere")),
    "line-circle": lambda: lamp(
        lines=(Line(), Line(name="a", feeds="b"), Line(name="b", feeds="a"))
    ),
    "feeder-without-join": lambda: board(join=""),
    "unknown-join": lambda: board(join="99"),
    "arrow-to-feeder": lambda: check_product(
        replace(
            BOARD_LAMP,
            tasks=(
                *BOARD_LAMP.tasks[:-1],
                replace(BOARD_LAMP.tasks[-1], predecessors=("b2", "10")),
            ),
        )
    ),
    "arrow-past-join": lambda: check_product(
        replace(
            BOARD_LAMP,
            tasks=(replace(BOARD_LAMP.tasks[0], predecessors=("b3",)), *BOARD_LAMP.tasks[1:]),
        )
    ),
    "empty-line": lambda: of(),
    "line-bought-in": lambda: board(bought_in=True),
    "other-line-left-out": lambda: (
        joint_balance(
            replace(FREE, tasks=tuple(replace(t, limits=TaskLimits(station=1)) for t in FREE.tasks))
        ).findings
    ),
    "join-twice": lambda: joined("30"),
    "line-number-impossible": lambda: board(quantity=0),
    "line-number-not-used": lambda: lamp(lines=(Line(yield_share=0.9),)),
    "machine-number-impossible": lambda: machine(magazine=0),
    "machine-not-counted": lambda: machine(piece_ms=None),
    "machine-overloaded": lambda: paced(count=1),
    "machine-too-short": lambda: paced(
        kind=MachineKind.IN_LINE, spacing_m=0.1, speed_m_per_min=1, length_m=1, process_ms=61_000
    ),
    "places-short": lambda: paced(magazine=9, change_ms=13_000, places_before=2),
    "line-too-slow": lambda: planned(),
    "paces-differ": lambda: planned(),
    "join-at-no-station": lambda: planned(join="50"),
    "join-at-first-station": lambda: planned(),
    "joins-share-station": joins_planned,
    "line-too-long": lambda: planned(Line(pitch_m=2, hall_m=1)),
    "conveyor-too-fast": lambda: planned(Line(pitch_m=2, speed_limit_m_per_min=1)),
    "carriers-short": lambda: planned(Line(carriers=1, carrier_return_ms=99_000)),
    "duplicate-model": lambda: of(task(), models=(Model(name="A"), Model(name="A"))),
    "unknown-model": lambda: of(task(model_times=(ModelTime(model="Z", time_ms=1),))),
    "share-sum": lambda: of(task(), models=(Model(name="A", share=0.9),)),
    "model-over-limit": lambda: balanced(MIXED, limit=55),
    "no-demand": lambda: demand(quantity=None),
    "no-working-time": lambda: shifts(),
    "breaks-too-long": lambda: shifts(shift("early", "06:00", "07:00", lunch=60)),
    "shifts-overlap": lambda: shifts(shift("a", "06:00", "14:00"), shift("b", "13:00", "20:00")),
    "availability-twice": lambda: shifts(
        shift("a", "06:00", "14:00", breakdowns=30), availability=0.9
    ),
    "share-out-of-range": lambda: demand(yield_share=1.5),
    "no-station-time": lambda: lamp(lines=(Line(repositioning_ms=60_000),)),
    "task-longer-than-limit": lambda: balanced(TOO_LONG),
    "line-impossible": lambda: balanced(LAMP, method="exact", stations=2, seconds=10),
    "tasks-added": lambda: rebalanced("10", "20"),
    "tasks-gone": lambda: rebalanced("10", "20", "30", "40", "50", "60"),
    "same-plan": again,
    "no-limit": explained,
    "nothing-found": lambda: balanced(
        # By hand: the longest first gives 41 + 32 = 73 and 29 + 23 + 21 = 73 of 80 ms, and 14
        # fits to neither; the sum of 160 ms does not rule two stations out.
        replace(LAMP, tasks=tuple(task(f"t{n}", time_ms=n) for n in (41, 32, 29, 23, 21, 14))),
        limit=0.08,
        stations=2,
    ),
    "limits-not-kept": lambda: balanced(
        replace(LAMP, tasks=(task(limits=TaskLimits(crossing=True)),))
    ),
    "limits-broken": of_a_method_that_keeps_little,
    "limits-clash": lambda: balanced(
        replace(
            LAMP,
            tasks=(task("1", limits=TaskLimits(station=2)), task("2", "1")),
            lines=(Line(),),
        ),
        stations=1,
    ),
    "no-plan": unplanned,
    "plan-out-of-date": changed,
    "plan-file-broken": folder("plans/001.json", b"{"),
    "stored-unreadable": damaged,
    "task-not-assigned": lambda: limited(("t1",)),
    "task-assigned-twice": lambda: limited(("t1",), ("t2", "t1")),
    "unknown-task-in-plan": lambda: limited(("t1", "t9"), ("t2",)),
    "station-over-limit": lambda: limited(("t1", "t2")),
    "predecessor-later": lambda: ordered(("t2",), ("t1",)),
    "station-not-allowed": lambda: limited(("t1",), ("t2",), t1=TaskLimits(station=2)),
    "group-split": lambda: limited(
        ("t1",), ("t2",), t1=TaskLimits(together="g"), t2=TaskLimits(together="g")
    ),
    "tasks-not-apart": lambda: limited(("t1", "t2"), t1=TaskLimits(apart=("t2",))),
    "zones-mixed": lambda: limited(
        ("t1", "t2"), t1=TaskLimits(zone="wet"), t2=TaskLimits(zone="dry")
    ),
    "equipment-missing": lambda: limited(
        ("t1",),
        ("t2",),
        of_line=Line(stations=(StationSetting(number=2, equipment=("press",)),)),
        t1=TaskLimits(equipment=("press",)),
    ),
    "equipment-barred": lambda: limited(
        ("t1",),
        ("t2",),
        of_line=Line(stations=(StationSetting(number=1, equipment_barred=("press",)),)),
        t1=TaskLimits(equipment=("press",)),
    ),
    "equipment-short": lambda: limited(
        ("t1",),
        ("t2",),
        equipment=(Equipment(name="press"),),
        t1=TaskLimits(equipment=("press",)),
        t2=TaskLimits(equipment=("press",)),
    ),
    "skill-missing": lambda: limited(
        ("t1",), ("t2",), of_line=at_station_2(skills=("solder",)), t1=TaskLimits(skill="solder")
    ),
    "no-static-protection": lambda: limited(
        ("t1",), ("t2",), of_line=at_station_2(static_safe=True), t1=TaskLimits(static_safe=True)
    ),
    "no-guard": lambda: limited(
        ("t1",), ("t2",), of_line=at_station_2(guarded=True), t1=TaskLimits(guarded=True)
    ),
    "own-work-checked": lambda: limited(("t1", "t2"), t2=TaskLimits(independent_of=("t1",))),
    "heights-apart": lambda: limited(
        ("t1", "t2"),
        of_line=Line(height_range_mm=100),
        t1=TaskLimits(working_height_mm=800),
        t2=TaskLimits(working_height_mm=950),
    ),
    "width-exceeded": lambda: limited(
        ("t1",), ("t2",), of_line=at_station_2(width_mm=400), t2=TaskLimits(space_mm=500)
    ),
    "target-load-exceeded": lambda: limited(
        ("t1",), ("t2",), of_line=at_station_2(target_share=0.5)
    ),
    "lifted-too-much": lambda: limited(
        ("t1",), ("t2",), of_line=Line(lifts_per_min=4), t2=TaskLimits(lifts=2)
    ),
    "stations-between": lambda: limited(
        ("t1",), ("t2",), lags=(TimeLag(before="t1", after="t2", least_stations=2),)
    ),
    "time-between": lambda: limited(
        ("t1",), ("t2",), lags=(TimeLag(before="t1", after="t2", shortest_ms=6_000),)
    ),
    "lifting-index-high": lambda: of(
        task(limits=TaskLimits(lift_kg=30), lift=replace(A_LIFT, to_reach_mm=400))
    ),
    "lift-not-covered": lambda: of(task(limits=TaskLimits(lift_kg=3), lift=A_LIFT)),
    "lift-too-heavy": lambda: of(task(limits=TaskLimits(lift_kg=30)), lines=(Line(lift_kg=25),)),
    "too-many-stations": lambda: limited(("t1",), (), ("t2",)),
    "warm-up-short": lambda: simulated(units=500, warm_up_h=0),
    "one-replication": lambda: simulated(replications=1),
    "simulation-stopped": lambda: simulated(stop_after=1),
    "simulated-straight": lambda: (
        planned_flow(
            replace(LAMP, lines=(Line(form=LineForm.U_LINE),)),
            ProductPlan(lines=(LinePlan(line="main", result=answer(station(1, ["10"], 60.0))),)),
        ).findings
    ),
    "no-output": lambda: simulated(passes=0.0),
    "step-times-differ": lambda: of(task(steps=(Step(text="Turn", time_ms=1),))),
    "picture-missing": lambda: of(task(picture="gone.png")),
    "check-without-limit": lambda: of(task(checks=(Check(text="Lit", reaction="Stop"),))),
    "check-without-reaction": lambda: of(task(checks=(Check(text="Lit", limit="lit"),))),
    "glyph-missing": without_font,
    "text-shortened": lambda: cards(name="N" * 30_000),
    "text-cleaned": lambda: cards(name="a\x00b"),
    "code-shortened": lambda: cards(code="P" * 3000),
    "text-style": lambda: of(task(steps=(Step(text="Turn the handle and then press it"),))),
    "unknown-part": lambda: of(task(parts=(PartUse(part="P-9"),))),
    "duplicate-part": lambda: lamp(parts=(*LAMP.parts, *LAMP.parts)),
    "part-quantity-differs": lambda: lamp(parts=(replace(LAMP.parts[0], quantity=3),)),
    "duplicate-machine": lambda: lamp(machines=2 * (Machine(name="M1", kind=MachineKind.PRESS),)),
    "duplicate-fault": lambda: lamp(faults=(Fault(code="F1"), Fault(code="F1"))),
    "number-zero": lambda: lamp(lines=(Line(hall_m=0),)),
    "none-there": lambda: lamp(lines=(Line(carriers=0),)),
    "stops-half-entered": lambda: lamp(equipment=(Equipment(name="press", mtbf_min=600),)),
    "stop-without-run": lambda: lamp(lines=(at_station_2(mtbf_min=0, mttr_min=5),)),
    "stop-of-no-length": lambda: lamp(lines=(at_station_2(mtbf_min=600, mttr_min=0),)),
    "repair-without-exit": lambda: a_test(repeat_pass_share=0, scrap_share=0),
    "nothing-passes": lambda: a_test(first_pass_share=0, repeat_pass_share=0),
    "soak-without-time": lambda: a_test(kind=QualityKind.SOAK, process_ms=0),
    "no-place-left": lambda: a_test(empty_share=1),
    "sampling-half-entered": lambda: a_test(lot=500),
    "shortage-half-entered": lambda: lamp(parts=(replace(LAMP.parts[0], present_share=0.9),)),
    "fault-without-test": lambda: lamp(faults=(Fault(code="F1", gate="10"),)),
    "load-too-high": lambda: quality(first_pass_share=0.5, repair_ms=90_000, repairers=1),
    "quality-incomplete": lambda: quality(first_pass_share=0.9),
    "yield-above-gates": lambda: quality(first_pass_share=0.9, scrap_share=1),
    "empty-places-too-few": lambda: quality(first_pass_share=0.9, repair_ms=60_000),
    "float-never-drains": lambda: quality(
        first_pass_share=0.9, repair_ms=60_000, reentry=Reentry.AFTER_TEST
    ),
    "positions-too-few": lambda: quality(kind=QualityKind.SOAK, process_ms=3_600_000, positions=10),
    "no-sampling-plan": lambda: quality(lot=1, sample_level=SampleLevel.II, aql_percent=1),
    "no-drop-plan": lambda: packed(),
    "near-drop-class": lambda: packed(gross_kg=18.8),
    "fault-without-station": lambda: quality_findings(
        replace(LAMP, tally=(FaultCount(date="2026-09-14", fault="F1"),))
    ),
    "file-missing": without_tasks,
    "file-too-large": folder("product.toml", b"#" * 2_000_001),
    "file-broken": folder("product.toml", b"= no TOML"),
    "unknown-column": folder("tasks.csv", b"number,colour\n10,red\n"),
    "unknown-table": folder("colours.csv", b"colour\nred\n"),
    "missing-column": folder("tasks.csv", b"name\nTurn\n"),
    "time-without-unit": folder("tasks.csv", b"number,time\n10,5\n"),
    "value-not-read": folder("tasks.csv", b"number,time_s\n10,soon\n"),
    "row-left-out": folder("steps.csv", b"task,text\n99,Turn\n"),
    "text-not-stored": folder("tasks.csv", b"number,remark\n10," + b"x" * 40_000 + b"\n"),
    "picture-refused": folder("pictures/a.png", b"no picture"),
    "instance-broken": instance,
}
"""For each code what makes it: of a product, or of files in a folder."""


@pytest.mark.parametrize("code", CODES)
def test_every_code_comes_out_of_its_example(code: str, tmp_path: Path):
    make = EXAMPLES[code]
    found = make(tmp_path) if make.__code__.co_argcount else make()
    assert code in {finding.code for finding in found}
