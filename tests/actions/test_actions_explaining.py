"""Every number of a product opened by one mechanism."""

from dataclasses import replace
from pathlib import Path

import pytest
from small_products import BOARD_LAMP, BROKEN, EMPTY, HEAVY_LAMP, LAMP, MIXED

from stationflow.actions.opening.opened import open_source
from stationflow.actions.showing.explaining import Numbers, nearest, pick
from stationflow.balancing.balance import balance_product
from stationflow.model import (
    BalanceSettings,
    Explained,
    Line,
    Plan,
    Product,
    StationTime,
    Task,
    TaskLimits,
)
from stationflow.units import TimeUnit

DEMO = sorted(
    p.parent for p in (Path(__file__).parents[2] / "demo_products").glob("*/product.toml")
)
SETTINGS = BalanceSettings(method="ranked-positional-weight")


def planned(product: Product, line: str = "main", settings: BalanceSettings = SETTINGS) -> Plan:
    result = balance_product(product, line, settings)
    return Plan(product=product.code, result=result)


def explain(product: Product, plan: Plan | None = None) -> tuple[Explained, ...]:
    return Numbers(product, plan.line if plan else "main", plan).all()


NUMBERS = explain(LAMP, planned(LAMP))


def keys(numbers: tuple[Explained, ...]) -> list[str]:
    return [number.key for number in numbers]


@pytest.mark.parametrize("folder", DEMO, ids=lambda p: p.name)
def test_no_cross_check_of_a_demo_product_differs(folder: Path):
    source = open_source(str(folder))
    assert source.product is not None
    differing = [
        f"{line} {n.key}: {n.check}"
        for line in source.lines
        for n in explain(source.product, planned(source.product, line))
        if n.check.startswith("Differs")
    ]
    assert differing == []


@pytest.mark.parametrize("unit", TimeUnit)
def test_no_cross_check_differs_in_any_unit(unit: TimeUnit):
    product = replace(MIXED, time_unit=unit)
    found = explain(product, planned(product))
    assert [n.key for n in found if n.check.startswith("Differs")] == []


def test_the_load_of_a_station_counts_turning_over_and_times_of_its_own():
    """By hand: 30 s, 12 s there instead of 20 s, and 5 s to turn the unit over are 47 s."""
    turned = Task(
        number="20",
        time_ms=20_000,
        predecessors=("10",),
        limits=TaskLimits(attitude="face down"),
        station_times=(StationTime(station=1, time_ms=12_000),),
    )
    first = Task(number="10", time_ms=30_000, limits=TaskLimits(attitude="upright"))
    product = Product(code="TURNED", lines=(Line(turn_ms=5_000),), tasks=(first, turned))
    made = balance_product(product, "main", BalanceSettings(method="exact", limit=60, seconds=20))
    found = explain(product, Plan(product="TURNED", result=made))
    load = next(n for n in found if n.key == "station-1-load")
    assert (load.value, [n.key for n in found if n.check.startswith("Differs")]) == (47, [])
    assert "5 (turning the unit over)" in load.worked


def test_every_number_has_formula_values_and_source():
    assert all(n.formula and n.worked and n.source for n in NUMBERS)


def test_every_key_picks_one_number():
    assert len(set(keys(NUMBERS))) == len(NUMBERS)


@pytest.mark.parametrize(
    "word",
    [
        "working-time", "takt-time", "operating-takt", "station-time", "stations", "limit",
        "lower-bound", "gap", "cycle-time", "work-content", "balance-efficiency", "balance-delay",
        "smoothness-index", "idle-time", "order-strength", "station-1", "task-40", "part-p-1",
        "workers", "overtime", "good-units-made-per-week", "starts-per-week",
    ],
)  # fmt: skip
def test_a_word_of_the_trade_picks_a_number(word: str):
    assert pick(NUMBERS, word)


def test_a_word_picks_it_on_both_bases():
    assert keys(pick(NUMBERS, "balance efficiency")) == [
        "balance-efficiency-on-the-limit",
        "balance-efficiency-on-the-cycle-time",
    ]


def test_station_one_does_not_mean_station_ten():
    ten = replace(NUMBERS[0], key="station-10-load")
    assert pick((ten,), "station-1") == ()


def test_a_misspelt_word_finds_its_neighbour():
    assert "balance-efficiency" in nearest(NUMBERS, "balace-eficiency")


def test_a_feeder_has_its_own_numbers():
    takt = pick(Numbers(BOARD_LAMP, "board", None).all(), "takt-time")[0]
    assert (takt.value, takt.where) == (30, "line board")  # two boards in 60 s, by hand


def test_without_a_plan_the_pace_gives_the_bounds():
    # By hand: 150 s / 60 s = 2.5.
    assert pick(explain(LAMP), "bound-work-content")[0].value == 3


def test_the_sum_on_a_card_is_opened():
    numbers = Numbers(LAMP, "main", planned(LAMP)).station(1)
    assert "station-1-card-sum" in keys(numbers)


def test_a_part_is_held_against_the_parts_list():
    product = replace(LAMP, parts=(replace(LAMP.parts[0], quantity=2),))
    assert pick(explain(product), "part-p-1")[0].check == "Differs: the parts list says 2 pcs."


@pytest.mark.parametrize("product", [EMPTY, BROKEN])
def test_a_draft_that_cannot_be_computed_opens_what_it_can(product: Product):
    assert pick(explain(product), "takt-time") == ()


def test_a_task_that_is_gone_has_no_numbers():
    assert Numbers(LAMP, "main", planned(LAMP)).task("99") == ()


def test_the_lift_of_a_task_and_of_its_station_are_opened():
    numbers = explain(HEAVY_LAMP, planned(HEAVY_LAMP))
    words = ("task-10-lifting-index-start", "station-1-composite-lifting-index")
    (own,), (station,) = (pick(numbers, word) for word in words)
    assert own.value == station.value
    # once in 60 s for a shift of 8 h, no hold stated: 23 x 25/35 x .75 x .9 = 11.09 kg
    assert own.value == pytest.approx(9 / 11.09, abs=0.001)


def test_a_station_of_a_plan_whose_lift_is_gone_opens_the_rest():
    gone = replace(HEAVY_LAMP, tasks=HEAVY_LAMP.tasks[1:])
    numbers = Numbers(gone, "main", planned(HEAVY_LAMP))
    assert numbers.lifting(1) == ()
