"""Balancing one line of a product, at its pace or as asked."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, BROKEN, EMPTY, LAMP, LIMITED, MIXED

from stationflow.balancing.balance import balance_product
from stationflow.balancing.limits.forms import Form
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Demand, Ending, Task

RULE = BalanceSettings(method="largest-candidate")
EXACT = BalanceSettings(method="exact")


def codes(findings) -> list[str]:
    return [finding.code for finding in findings]


def with_task(product, number: str, **changes):
    tasks = tuple(replace(t, **changes) if t.number == number else t for t in product.tasks)
    return replace(product, tasks=tasks)


def test_demand_sets_the_limit():
    assert balance_product(LAMP, "main", RULE).limit == 60.0  # 28 800 s a day for 480


def test_stops_and_rejects_make_the_limit_shorter():
    # Station time = takt x availability x yield when nothing is lost to repositioning: by hand
    # 60 s x 0.9 = 54 s.
    lossy = replace(LAMP, demand=replace(LAMP.demand, availability=0.9))
    assert balance_product(lossy, "main", RULE).limit == pytest.approx(54.0)


def test_repositioning_makes_the_limit_shorter():
    line = replace(LAMP.lines[0], repositioning_ms=4000)
    assert balance_product(replace(LAMP, lines=(line,)), "main", RULE).limit == pytest.approx(56.0)


def test_a_takt_asked_for_is_kept():
    asked = replace(RULE, limit=75.0)
    assert balance_product(LAMP, "main", asked).limit == 75.0


def test_a_takt_asked_for_needs_no_demand():
    asked = replace(RULE, limit=75.0)
    assert balance_product(replace(LAMP, demand=Demand()), "main", asked).has_plan


def test_without_demand_nothing_is_balanced_at_the_pace():
    result = balance_product(replace(LAMP, demand=Demand()), "main", RULE)
    assert (result.ending, "no-demand" in codes(result.findings)) == (None, True)


def test_a_feeder_is_balanced_at_its_own_pace():
    assert balance_product(BOARD_LAMP, "board", RULE).limit == 30.0  # two boards in 60 s


def test_yield_of_a_feeder_makes_its_pace_faster():
    board = replace(BOARD_LAMP.lines[1], yield_share=0.9)
    product = replace(BOARD_LAMP, lines=(BOARD_LAMP.lines[0], board))
    # 60 s / 2 boards x 0.9 good = 27 s
    assert balance_product(product, "board", RULE).limit == pytest.approx(27.0)


@pytest.fixture
def keeps_little(monkeypatch: pytest.MonkeyPatch):
    info = replace(METHODS["exact"], keeps=frozenset({Form.GROUPS}))
    monkeypatch.setitem(METHODS, "exact", info)


@pytest.mark.usefixtures("keeps_little")
def test_what_the_method_does_not_keep_is_warned_of_once():
    found = codes(balance_product(LIMITED, "main", EXACT).findings)
    assert found.count("limits-not-kept") == 1


@pytest.mark.usefixtures("keeps_little")
def test_the_warning_names_the_task_and_what_is_asked():
    finding = next(
        f for f in balance_product(LIMITED, "main", EXACT).findings if f.code == "limits-not-kept"
    )
    assert "apart" in finding.message
    assert "50" in finding.message


@pytest.mark.parametrize("asked", [RULE, EXACT])
def test_a_method_that_keeps_the_limit_warns_of_nothing(asked: BalanceSettings):
    assert balance_product(LIMITED, "main", asked).findings == ()


def test_nothing_is_warned_of_when_no_limit_is_entered():
    assert balance_product(LAMP, "main", RULE).findings == ()


def test_an_error_on_another_line_does_not_stop_this_one():
    untimed = with_task(BOARD_LAMP, "b2", time_ms=None)
    assert balance_product(untimed, "main", RULE).has_plan


def test_an_error_on_this_line_stops_it():
    untimed = with_task(BOARD_LAMP, "b2", time_ms=None)
    result = balance_product(untimed, "board", RULE)
    assert (result.ending, codes(result.findings)) == (None, ["task-without-time"])


def test_a_circle_is_an_answer_and_not_an_exception():
    assert balance_product(BROKEN, "main", RULE).ending is None


def test_an_empty_line_is_an_answer():
    result = balance_product(EMPTY, "main", replace(RULE, limit=60.0))
    assert codes(result.findings) == ["empty-line"]


def test_an_unknown_line_is_named_once():
    assert codes(balance_product(LAMP, "other", RULE).findings) == ["unknown-line"]


def test_a_mix_is_balanced_at_the_weighted_times():
    # Task 10 takes 20 s or 40 s, half of the units each: 30 s, as in the plain lamp.
    stations = balance_product(MIXED, "main", RULE).stations
    assert sum(station.work_ticks for station in stations) == 150_000


def test_a_station_where_one_model_is_over_the_limit_is_named():
    slow = replace(MIXED, tasks=(*MIXED.tasks[:2], replace(MIXED.tasks[2], time_ms=30_000),
                                 *MIXED.tasks[3:]))  # fmt: skip
    # 10 and 30 share the first station at 60 s; model B makes it 70 s.
    alone = replace(slow, tasks=(slow.tasks[0], replace(slow.tasks[2], predecessors=("10",))))
    found = codes(balance_product(alone, "main", RULE).findings)
    assert "model-over-limit" in found


@pytest.mark.parametrize("method", ["exact", "comsoal", "kilbridge-wester"])
def test_a_task_longer_than_the_pace_is_named_by_every_method(method):
    result = balance_product(
        with_task(LAMP, "50", time_ms=75_000), "main", replace(RULE, method=method)
    )
    assert (result.ending, codes(result.findings)[:1]) == (
        Ending.IMPOSSIBLE,
        ["task-longer-than-limit"],
    )


def test_the_order_of_rows_changes_no_optimum():
    turned = replace(LAMP, tasks=tuple(reversed(LAMP.tasks)))
    exact = BalanceSettings(method="exact")
    assert len(balance_product(turned, "main", exact).stations) == 3


def test_a_task_of_no_known_line_stops_no_other():
    lost = replace(LAMP, tasks=(*LAMP.tasks, Task(number="99", time_ms=5000, line="nowhere")))
    assert balance_product(lost, "main", RULE).has_plan
