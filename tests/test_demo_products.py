"""The demo products are complete: they read clean, balance at their pace and print full cards.

What is expected of them is stated here by hand: it is what the products were
drawn up to show. Numbers of stations are bounded by hand from work content and
station time, not copied from a run.
"""

from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest

from stationflow.balancing.balance import balance
from stationflow.balancing.task_check import check_tasks
from stationflow.balancing.verify import verify
from stationflow.balancing.work import line_work
from stationflow.cards.contents.selfcheck import check_cards
from stationflow.files.product.product_folder import (
    ProductFile,
    read_product_folder,
    write_product_folder,
)
from stationflow.line.entered_checks import check_flow
from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Finding,
    Hazard,
    LinePlan,
    MachineKind,
    Product,
    ProductPlan,
    QualityKind,
    Severity,
    Task,
)
from stationflow.network.joins import check_lines
from stationflow.network.line_tree import line_tree
from stationflow.pace.takt import check_pace, line_pace
from stationflow.supply.parts_list import check_parts

ROOT = Path(__file__).parents[1] / "demo_products"
NAMES = ("desk_fan", "air_purifier", "stand_mixer", "control_cabinet")
LINES = {
    "desk_fan": ("main",),
    "air_purifier": ("main", "power board", "control board", "loom", "filter", "foam"),
    "stand_mixer": ("main", "gear unit"),
    "control_cabinet": ("main", "door", "terminals"),
}
BOUGHT = {"foam"}
EVERY_LINE = [(name, line) for name in NAMES for line in LINES[name] if line not in BOUGHT]
# Tasks stated for each product, lowest and highest.
TASKS = {
    "desk_fan": (12, 13),
    "air_purifier": (60, 90),
    "stand_mixer": (30, 40),
    "control_cabinet": (295, 305),
}
LARGEST_PICTURE = 40_000  # bytes
LARGEST_DEMO = 6_000_000  # bytes of all folders together


@cache
def demo(name: str) -> ProductFile:
    """Return one demo product as it is read."""
    return read_product_folder(ROOT / name)


def product(name: str) -> Product:
    return demo(name).product


@cache
def balanced(name: str, line: str) -> BalanceResult:
    """Return the line balanced at its own pace by ranked positional weight."""
    work, _ = line_work(product(name), line)
    assert work is not None
    takt = line_pace(product(name), line).station_time_s
    return balance(work, BalanceSettings(method="ranked-positional-weight", limit=takt))


def to_be_cured(findings: tuple[Finding, ...]) -> list[str]:
    """Return what is more than a note."""
    return [str(f) for f in findings if f.severity != Severity.NOTE]


def tasks_of_kind(name: str, kind: QualityKind) -> list[Task]:
    return [t for t in product(name).tasks if t.quality and t.quality.kind == kind]


def purifier_task(number: str) -> Task:
    return next(t for t in product("air_purifier").tasks if t.number == number)


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_product_reads_without_any_finding(name: str):
    assert [str(f) for f in demo(name).findings] == []


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "check", [check_tasks, check_lines, check_pace, check_parts, check_flow, check_cards]
)
def test_no_check_of_a_demo_product_finds_more_than_notes(name: str, check):
    assert to_be_cured(check(product(name))) == []


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_folder_written_again_is_the_same_file_by_file(name: str, tmp_path: Path):
    here = demo(name)
    write_product_folder(tmp_path / name, here.product, dict(here.pictures), here.plans)
    first, again = ROOT / name, tmp_path / name
    kept = {p.relative_to(first): p.read_bytes() for p in first.rglob("*") if p.is_file()}
    written = {p.relative_to(again): p.read_bytes() for p in again.rglob("*") if p.is_file()}
    assert written == kept


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_product_has_as_many_tasks_as_stated(name: str):
    fewest, most = TASKS[name]
    assert fewest <= len(product(name).tasks) <= most


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_product_has_the_lines_stated(name: str):
    assert tuple(line.name for line in product(name).lines) == LINES[name]


@pytest.mark.parametrize("name", NAMES)
def test_every_task_of_a_demo_product_has_a_time(name: str):
    assert [t.number for t in product(name).tasks if not t.time_ms] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_task_of_a_demo_product_has_an_important_step(name: str):
    assert [t.number for t in product(name).tasks if not t.steps] == []


@pytest.mark.parametrize("name", ["desk_fan", "air_purifier", "stand_mixer"])
def test_tasks_have_two_to_six_important_steps(name: str):
    assert [t.number for t in product(name).tasks if not 2 <= len(t.steps) <= 6] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_important_step_has_its_key_point_and_reason(name: str):
    steps = [(t.number, s) for t in product(name).tasks for s in t.steps]
    assert [n for n, s in steps if not (s.key_point and s.reason)] == []


@pytest.mark.parametrize("name", NAMES)
def test_no_picture_is_missing_and_none_is_unused(name: str):
    tasks = product(name).tasks
    used = {s.picture for t in tasks for s in t.steps} | {t.picture for t in tasks}
    assert used - {""} == {picture for picture, _ in demo(name).pictures}


def test_the_appliance_has_pictures_for_at_least_forty_steps():
    steps = [s for t in product("air_purifier").tasks for s in t.steps if s.picture]
    assert len(steps) >= 40


@pytest.mark.parametrize("name", NAMES)
def test_pictures_are_small(name: str):
    assert [p for p, data in demo(name).pictures if len(data) > LARGEST_PICTURE] == []


@pytest.mark.parametrize("name", NAMES)
def test_pictures_are_800_by_600(name: str):
    from PIL import Image

    sizes = {Image.open(BytesIO(data)).size for _, data in demo(name).pictures}
    assert sizes == {(800, 600)}


def test_all_demo_products_together_are_small():
    assert sum(p.stat().st_size for p in ROOT.rglob("*") if p.is_file()) < LARGEST_DEMO


@pytest.mark.parametrize(("name", "line"), EVERY_LINE)
def test_no_task_is_longer_than_the_station_time_of_its_line(name: str, line: str):
    limit = line_pace(product(name), line).station_time_s
    tasks = product(name).tasks_of(line)
    assert [t.number for t in tasks if limit is None or (t.time_ms or 0) > 1000 * limit] == []


@pytest.mark.parametrize(("name", "line"), EVERY_LINE)
def test_every_line_balances_at_its_own_pace(name: str, line: str):
    result = balanced(name, line)
    work, _ = line_work(product(name), line)
    assert work is not None
    assert result.has_plan
    assert verify(work, [s.tasks for s in result.stations], limit=result.limit) == ()


def test_the_station_time_of_the_fan_is_the_one_worked_out_by_hand():
    # 510 min less 60 min of stops is 27 000 s; x 5 days / 1650 fans = 81.8182 s takt time;
    # x 0.98 yield x 0.94 availability = 75.3709 s; less 2 s repositioning = 73.3709 s
    limit = line_pace(product("desk_fan"), "main").station_time_s
    assert limit == pytest.approx(73.3709, abs=0.0001)


def test_the_fan_needs_five_stations():
    # by hand: 329 s of work / 73.37 s = 4.48, so never fewer than five
    assert len(balanced("desk_fan", "main").stations) == 5


def test_the_station_time_of_the_appliance_is_the_one_worked_out_by_hand():
    # (495 - 45) min x 2 shifts x 5 days = 270 000 s / 4200 = 64.2857 s; x 0.985 x 0.95
    # = 60.1554 s; less 3 s repositioning = 57.1554 s
    limit = line_pace(product("air_purifier"), "main").station_time_s
    assert limit == pytest.approx(57.1554, abs=0.0001)


def test_the_main_line_of_the_appliance_has_eighteen_to_twenty_one_stations():
    # by hand: 1015 s of work / 57.16 s = 17.76, so never fewer than 18; a rule may need a few more
    assert 18 <= len(balanced("air_purifier", "main").stations) <= 21


def test_the_appliance_has_two_board_feeders_a_loom_feeder_a_filter_line_and_bought_foam():
    feeders = [line.title for line in product("air_purifier").lines if not line.is_main]
    assert feeders == [
        "Power board line",
        "Control board line",
        "Loom line",
        "Filters",
        "Foam strips (bought cut)",
    ]


def test_the_bought_foam_serves_two_lines():
    taken = {join.feeds for join in line_tree(product("air_purifier")).joins["foam"]}
    assert taken == {"main", "filter"}


def purifier_plans() -> ProductPlan:
    lines = (name for name in LINES["air_purifier"] if name not in BOUGHT)
    return ProductPlan(
        lines=tuple(LinePlan(line=n, result=balanced("air_purifier", n)) for n in lines)
    )


def test_the_plans_of_the_appliance_together_have_nothing_to_be_cured():
    whole = whole_line(product("air_purifier"), purifier_plans())
    assert to_be_cured(whole.findings) == []


def test_the_simulated_output_of_the_appliance_is_what_is_wanted():
    # By hand: 4200 a week / (7.5 h x 2 shifts x 5 days) = 56 good units an hour.
    asked = SimulationSettings(hours=40, replications=4, seed=1, warm_up_h=4)
    output = simulate(product("air_purifier"), purifier_plans(), asked).output_per_h
    assert output.low is not None
    assert output.high is not None
    assert output.low <= 56 <= output.high


def test_each_feeder_joins_the_main_line_at_the_task_that_takes_its_unit():
    joins = {
        line.name: purifier_task(line.join).name
        for line in product("air_purifier").lines
        if not line.is_main
    }
    assert joins == {
        "power board": "Mount the power board",
        "control board": "Mount the control board",
        "loom": "Clip the wiring loom into the chassis",
        "filter": "Slide in the main filter",
        "foam": "Stick the sealing foam on the top cover",
    }


@pytest.mark.parametrize("kind", list(QualityKind))
def test_the_appliance_shows_every_kind_of_quality_step(kind: QualityKind):
    assert tasks_of_kind("air_purifier", kind) != []


def test_the_appliance_is_tested_for_insulation_behind_a_guard():
    tested = [t for t in tasks_of_kind("air_purifier", QualityKind.SAFETY_TEST) if t.limits.guarded]
    assert [t.name for t in tested] == ["Test the insulation (electric strength)"]


def test_the_function_test_of_the_appliance_carries_repair_data():
    quality = purifier_task("370").quality
    assert quality is not None
    assert None not in (quality.first_pass_share, quality.repeat_pass_share, quality.repair_ms)


def test_the_soak_of_the_appliance_takes_an_operator_only_a_short_time():
    (soak,) = tasks_of_kind("air_purifier", QualityKind.SOAK)
    assert soak.quality is not None
    assert (soak.time_ms or 0) < 0.05 * (soak.quality.process_ms or 0)


def test_the_appliance_is_packed_at_the_end():
    packed = [t.name for t in product("air_purifier").tasks_of("main") if "carton" in t.name]
    assert packed[-1] == "Stack the carton on the pallet"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", [QualityKind.SAFETY_TEST, QualityKind.SOAK])
def test_every_dangerous_test_shows_a_caution_against_electric_shock(name: str, kind: QualityKind):
    electric = {Hazard.MAINS, Hazard.HIGH_VOLTAGE}
    tasks = tasks_of_kind(name, kind)
    assert [t.number for t in tasks if not electric & {c.hazard for c in t.cautions}] == []


def test_dip_soldering_warns_of_fume_heat_and_flux():
    dips = [t for t in product("air_purifier").tasks if "dip the board" in t.name]
    needed = {Hazard.FUME, Hazard.HOT, Hazard.CHEMICAL}
    assert [needed <= {c.hazard for c in t.cautions} for t in dips] == [True, True]


def test_solder_has_time_to_cool_before_the_leads_are_trimmed():
    lags = {(lag.before, lag.after): lag.shortest_ms for lag in product("air_purifier").lags}
    assert lags["P070", "P080"] == 90_000


@pytest.mark.parametrize("name", NAMES)
def test_the_tasks_use_exactly_the_parts_list(name: str):
    used: dict[str, Decimal] = {}
    for use in (use for task in product(name).tasks for use in task.parts):
        used[use.part] = used.get(use.part, Decimal(0)) + Decimal(str(use.quantity))
    listed = {p.number: Decimal(str(p.quantity)) for p in product(name).parts}
    assert used == listed


@pytest.mark.parametrize("name", NAMES)
def test_every_part_has_a_container_and_its_quantity(name: str):
    parts = product(name).parts
    assert [p.number for p in parts if not (p.container and p.container_quantity)] == []


def test_the_shares_of_the_mixer_models_add_up_to_one():
    assert sum(Decimal(str(m.share)) for m in product("stand_mixer").models) == 1


def test_some_tasks_of_the_mixer_are_not_needed_by_every_model():
    times = [t.time_ms for task in product("stand_mixer").tasks for t in task.model_times]
    assert 0 in times


def test_the_mixer_has_three_models():
    assert [m.name for m in product("stand_mixer").models] == ["B", "P", "X"]


def test_the_checks_of_another_person_are_not_done_by_the_one_who_worked():
    independent = [t.number for t in product("air_purifier").tasks if t.limits.independent_of]
    assert {"110", "180", "300", "460"} <= set(independent)


def test_the_appliance_shows_every_kind_of_machine():
    assert {machine.kind for machine in product("air_purifier").machines} == set(MachineKind)


def test_boards_are_cleaned_and_coated_in_batches():
    batches = [m for m in product("air_purifier").machines if m.kind == MachineKind.BATCH]
    done = {purifier_task(m.task).name for m in batches if m.task}
    assert done == {
        "Clean the boards in the washer",
        "Coat the board in the coater and put it in the tray",
    }


def test_an_inserter_places_the_parts_its_task_fits():
    inserters = [m for m in product("air_purifier").machines if m.kind == MachineKind.INSERTER]
    fitted = [sum(use.quantity for use in purifier_task(m.task).parts) for m in inserters]
    assert [m.pieces for m in inserters] == fitted


def test_the_time_of_a_soldering_task_is_that_from_board_to_board_on_its_machine():
    # By hand: 0.42 m / 0.6 m/min = 42 s; 0.38 m / 0.6 m/min = 38 s.
    through = [m for m in product("air_purifier").machines if m.kind == MachineKind.IN_LINE]
    apart = [60 * (m.spacing_m or 0) / (m.speed_m_per_min or 1) for m in through]
    assert apart == pytest.approx([42, 38])
    assert [purifier_task(m.task).time_ms for m in through] == [42_000, 38_000]


def test_stops_of_a_machine_are_entered_once():
    stopping = {m.name for m in product("air_purifier").machines if m.mtbf_min}
    assert [
        e.name for e in product("air_purifier").equipment if e.mtbf_min and e.name in stopping
    ] == []


def test_a_pallet_is_shared_by_the_units_that_stand_on_it():
    pallet = product("air_purifier").part("AP-152")
    assert pallet is not None
    assert product("air_purifier").packing.per_pallet == round(1 / (pallet.quantity or 1))


def test_the_faults_of_the_function_test_are_as_many_as_its_yield_says():
    # By hand: 4200 units / 5 days / 0.985 x (1 - 0.962) = 32.4 a day, 324 in ten days.
    found = {f.code for f in product("air_purifier").faults if f.gate == "370"}
    counted = [c.count for c in product("air_purifier").tally if c.fault in found]
    assert 0.9 * 324 < sum(counted) < 1.1 * 324


def test_every_gate_with_faults_to_be_repaired_has_a_fault_on_its_card():
    gates = {f.gate for f in product("air_purifier").faults}
    tested = {
        t.number
        for t in product("air_purifier").tasks
        if t.quality and t.quality.kind != QualityKind.REPAIR and not t.quality.lot
    }
    assert tested - gates == {"110", "180"}  # a look at a gap and at a mark, cured on the spot
