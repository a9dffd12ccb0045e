"""From the tally to stations, and what stands on the card of a test station."""

import pytest

from stationflow.line.quality.fault_pareto import fault_cards, pareto
from stationflow.line.quality.samples import sample_figures
from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Fault,
    FaultCount,
    LinePlan,
    OperatorWork,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    SampleLevel,
    Station,
    Task,
)

TASKS = (
    Task(number="10", name="Screw"),
    Task(number="20", name="Solder", line="board"),
    Task(number="30", name="Test", quality=QualityStep(kind=QualityKind.FUNCTION_TEST)),
    Task(number="40", name="Look", quality=QualityStep(kind=QualityKind.INSPECTION)),
)
FAULTS = (
    Fault(code="F1", text="Screw loose", gate="30", task="10", reaction="Tighten"),
    Fault(code="F2", text="Joint open", gate="30", task="20", part="C3", reaction="To the bench"),
    Fault(code="F3", text="Scratch", gate="40"),
)
TALLY = tuple(
    FaultCount(date=date, fault=fault, count=count)
    for date, fault, count in [
        ("2026-09-14", "F2", 4),
        ("2026-09-15", "F2", 8),
        ("2026-09-14", "F1", 5),
        ("2026-09-15", "F3", 3),
    ]
)
MADE = Product(code="P", tasks=TASKS, faults=FAULTS, tally=TALLY)


def plan_of(line: str, *tasks: str) -> LinePlan:
    stations = tuple(
        Station(number=number, operators=(OperatorWork(tasks=((task, 0),)),))
        for number, task in enumerate(tasks, start=1)
    )
    result = BalanceResult(
        line=line,
        asked=BalanceSettings(limit=60),
        assignment=Assignment(stations=stations),
    )
    return LinePlan(line=line, result=result)


PLAN = ProductPlan(lines=(plan_of("main", "10", "30", "40"), plan_of("board", "20")))


def test_faults_are_ranked_with_their_shares_and_stations():
    # 12, 5, 3 of 20
    rows = pareto(MADE, PLAN).rows
    assert [(r.fault, r.count, r.share, r.cumulated, r.line, r.station) for r in rows] == [
        ("F2", 12, 0.6, 0.6, "board", 1),
        ("F1", 5, 0.25, 0.85, "main", 1),
        ("F3", 3, 0.15, 1.0, "", None),
    ]


def test_a_fault_that_leads_to_no_station_is_named_with_the_reason():
    (finding,) = pareto(MADE, PLAN).findings
    assert finding.code == "fault-without-station"
    assert finding.where == "Fault F3"
    assert "3 times" in finding.message
    assert "no task is named" in finding.message


def test_faults_of_a_line_without_a_plan_are_named_together():
    found = [(f.where, f.message) for f in pareto(MADE).findings]
    assert [where for where, _ in found] == ["Fault F3", "Line board", "Line main"]
    assert "12 faults found" in found[1][1]
    assert "(F2)" in found[1][1]


def test_a_task_that_the_plan_forgot_is_named():
    plan = ProductPlan(lines=(plan_of("main", "30", "40"), plan_of("board", "20")))
    assert "the plan of line main has no task 10" in pareto(MADE, plan).findings[0].message


def test_a_code_that_is_counted_and_not_listed_is_ranked_all_the_same():
    tally = (FaultCount(date="2026-09-14", fault="F9", count=2),)
    got = pareto(Product(code="P", tally=tally))
    assert [(row.fault, row.count) for row in got.rows] == [("F9", 2)]


def test_an_empty_tally_has_no_ranking():
    assert pareto(Product(code="P", faults=FAULTS)).rows == ()
    zero = (FaultCount(date="2026-09-14", fault="F1", count=0),)
    assert pareto(Product(code="P", tally=zero)).rows == ()


def test_a_gate_has_a_card_with_its_places_of_fault():
    test, look = fault_cards(MADE, PLAN)
    assert (test.gate, test.name, test.line, test.station) == ("30", "Test", "main", 2)
    assert [(r.code, r.station, r.part, r.who, r.reaction) for r in test.rows] == [
        ("F1", "station 1", "", "repairer", "Tighten"),
        ("F2", "station 1 of board", "C3", "repairer", "To the bench"),
    ]
    assert [(r.code, r.station, r.who) for r in look.rows] == [
        ("F3", "", "operator of this station")
    ]


def sampled(**step: object) -> Task:
    quality = QualityStep(kind=QualityKind.INSPECTION, **step)  # type: ignore[arg-type]
    return Task(number="50", name="Open a pack", quality=quality)


SAMPLE = {"lot": 3000, "sample_level": SampleLevel.II, "aql_percent": 1.0}


def test_a_task_with_a_lot_tests_the_sample_of_the_standard():
    # ISO 2859-1: 3000, level II, 1.0 %: K, 125 units, 3 of 3000 / 125 = 24; Pa at 1 % .9626
    got = sample_figures(sampled(**SAMPLE))
    assert (got.plan.size, got.plan.accept, got.plan.reject) == (125, 3, 4)
    assert got.tests_per_unit == pytest.approx(1 / 24)
    assert dict(got.curve)[0.01] == pytest.approx(0.9626, abs=5e-5)
    assert all("from memory" in number.source for number in got.numbers[:2])


@pytest.mark.parametrize("half", [{"aql_percent": 1.0}, {"sample_level": SampleLevel.II}])
def test_a_sample_that_is_half_entered_has_no_plan(half):
    # what is missing is named by the check of what is entered
    got = sample_figures(sampled(lot=3000, **half))
    assert (got.plan, got.findings) == (None, ())


@pytest.mark.parametrize("wrong", [{"aql_percent": 1.2}, {"lot": 1}])
def test_a_limit_or_lot_without_a_plan_is_named(wrong):
    got = sample_figures(sampled(**{**SAMPLE, **wrong}))
    assert got.plan is None
    assert [finding.code for finding in got.findings] == ["no-sampling-plan"]


def test_a_task_without_a_lot_takes_no_sample():
    assert sample_figures(sampled()) is None
    assert sample_figures(Task(number="10")) is None
