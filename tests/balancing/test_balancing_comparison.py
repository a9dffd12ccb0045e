"""Plans side by side: figures, differences, the best value. All values worked out by hand."""

import pytest
from small_plans import answer, changed, station

from stationflow.balancing.compare.comparison import (
    ELSEWHERE,
    Figure,
    Kind,
    LabelledPlan,
    assumptions,
    difference,
    figures,
)
from stationflow.balancing.compare.difference_words import settings_differences, station_differences
from stationflow.balancing.compare.plans_compared import compare
from stationflow.balancing.compare.station_pairs import pair_stations, task_moves
from stationflow.model import (
    Direction,
    Plan,
)

TIMES = {"10": 30, "20": 25, "30": 35, "40": 20, "50": 40}  # 150 s


def plan(
    *held: str,
    limit: float | None = 60,
    method: str = "comsoal",
    direction: Direction | None = None,
    seed: int | None = 1,
    times: dict[str, float] = TIMES,
) -> Plan:
    """Return a plan from texts of tasks: "10 20" holds two."""
    stations = [
        station(n, row.split(), sum(times[t] for t in row.split())) for n, row in enumerate(held, 1)
    ]
    result = answer(*stations, limit=limit, method=method, seed=seed)
    many = None if limit else len(held)
    bound = 3 if limit else 50.0
    result = changed(result, stations=many, direction=direction, lower_bound=bound)
    return Plan(product="L", result=result)


THREE = plan("10 20", "30 40", "50")  # loads 55, 55, 40
FOUR = plan("10", "20 30", "40", "50")  # loads 30, 60, 20, 40
LONGER = plan("10 20", "30 40", "50", limit=75)


def words(time: float) -> str:
    return f"{time:g} s"


def rows(*plans: Plan, base: int = 0) -> dict[str, Figure]:
    labelled = [LabelledPlan(label=f"P{n}", plan=p) for n, p in enumerate(plans, 1)]
    return {figure.name: figure for figure in figures(labelled, base, words)}


def test_a_plan_that_does_not_hold_is_best_in_nothing():
    # Two stations of 75 s are fewer than three, at 55 s; three and four are left to compare.
    two = plan("10 20 40", "30 50")
    labelled = [
        LabelledPlan(label="P1", plan=two, holds=False),
        LabelledPlan(label="P2", plan=THREE),
        LabelledPlan(label="P3", plan=FOUR),
    ]
    best = {each.name: each.best for each in figures(labelled, 0, words)}
    assert (best["stations"], best["smoothness index"]) == (("P2",), ("P2",))


def said(base: Plan, other: Plan) -> str:
    pairs = pair_stations(base.result.stations, other.result.stations)
    moves = task_moves(base.result.stations, other.result.stations, pairs)
    return " ".join(station_differences(base, other, pairs, moves, "plan 1"))


def test_a_difference_has_its_sign_and_percent():
    assert rows(THREE, FOUR)["stations"].differences[1].text == "+1 (+33.3 %)"


def test_a_difference_can_be_told_without_percent():
    assert rows(THREE, FOUR)["stations"].differences[1].short == "+1"


def test_how_many_tasks_sit_elsewhere_is_counted_for_every_plan_but_the_base():
    # Stations "30 40" and "10 20" of the base are paired with "30"/"40" and "20 30"/"10" of the
    # other so that most stay: 10 (or 20), 30 and 50 stay, one of 10 and 20 goes, and so does 40.
    labelled = [LabelledPlan(label=label, plan=p) for label, p in (("A", THREE), ("B", FOUR))]
    compared = compare(labelled, 0, words)
    figure = next(f for f in compared.figures if f.name == ELSEWHERE)
    assert (figure.texts, figure.values) == (("base plan", "2"), (None, 2))


def test_a_difference_of_shares_is_told_in_points():
    # 150 / 180 = 83.3 % and 150 / 240 = 62.5 %: -20.8 points, -25 %
    text = rows(THREE, FOUR)["balance efficiency on the limit"].differences[1].text
    assert text == "-20.8 points (-25.0 %)"


def test_a_difference_from_zero_has_no_percent():
    assert difference(0, 2, Kind.TIME, words).text == "+2 s"


def test_a_difference_that_is_only_the_noise_of_floats_is_none():
    assert difference(0.3, 0.1 + 0.2, Kind.TIME, words).text == "same"


def test_the_base_plan_has_no_difference_from_itself():
    assert rows(THREE, FOUR, base=1)["stations"].differences[1] is None


@pytest.mark.parametrize(
    ("name", "best"),
    [
        ("stations", "P1"),
        ("cycle time", "P1"),
        ("balance efficiency on the cycle time", "P1"),  # 150 / 165 against 150 / 240
        ("balance delay on the limit", "P1"),
        ("smoothness index", "P1"),  # 15 against sqrt(30^2 + 40^2 + 20^2)
        ("idle time on the limit", "P1"),  # 30 s against 90 s
    ],
)
def test_the_best_plan_is_named_in_words(name, best):
    assert rows(THREE, FOUR)[name].best_words == best


def test_the_best_efficiency_is_the_larger_one():
    assert rows(FOUR, THREE)["balance efficiency on the limit"].best == ("P2",)


def test_plans_that_are_alike_are_said_to_be():
    assert rows(THREE, THREE)["stations"].best_words == "all alike"


def test_one_plan_has_no_best():
    assert rows(THREE)["stations"].best_words == ""


@pytest.mark.parametrize("name", ["stations", "balance efficiency on the limit"])
def test_no_plan_is_best_on_different_limits(name):
    assert (rows(THREE, LONGER)[name].best, rows(THREE, LONGER)[name].best_words) == (
        (),
        "limits differ",
    )


def test_figures_on_the_cycle_time_are_compared_whatever_the_limit():
    assert rows(FOUR, LONGER)["balance efficiency on the cycle time"].best == ("P2",)


def test_different_limits_give_the_efficiency_on_the_limit_of_the_base():
    row = rows(THREE, LONGER)["balance efficiency on the limit of P1"]
    assert [round(value, 4) for value in row.values] == [0.8333, 0.8333]  # both 150 / (3 x 60)


def test_a_plan_over_the_limit_of_the_base_is_told():
    over = plan("10 20 40", "30", "50", limit=75)  # loads 75, 35, 40
    assert rows(THREE, over)["balance efficiency on the limit of P1"].texts[1] == "over the limit"


def test_the_lower_bound_is_stations_or_a_time_by_the_goal():
    shortest = plan("10 20", "30 40", "50", limit=None)
    assert rows(THREE, shortest)["lower bound"].texts == ("3 stations", "50 s")


def test_the_figures_of_a_plan_without_stations_are_left_open():
    nothing = Plan(
        product="L",
        result=answer(method="given", limit=60.0, stations=3),
    )
    assert rows(THREE, nothing)["stations"].texts == ("3", "-")


def notes(*plans: Plan) -> str:
    labelled = [LabelledPlan(label=f"P{n}", plan=p) for n, p in enumerate(plans, 1)]
    return " ".join(assumptions(labelled, words))


def test_different_limits_are_named_first():
    assert "The limits differ (P1 60 s, P2 75 s)" in notes(THREE, LONGER)


def test_different_work_content_is_named():
    slower = plan("10 20", "30 40", "50", times={**TIMES, "50": 45})
    assert "The work content differs: P1 150 s, P2 155 s" in notes(THREE, slower)


def test_plans_of_one_limit_and_work_need_no_note():
    assert notes(THREE, FOUR) == ""


# -- words ----------------------------------------------------------------------------------


def test_another_limit_is_said():
    assert settings_differences(THREE, LONGER, words) == ("Limit: 60 s → 75 s.",)


def test_another_method_is_said_by_its_title():
    other = plan("10 20", "30 40", "50", method="exact")
    assert settings_differences(THREE, other, words) == ("Method: COMSOAL → Exact.",)


def test_another_seed_is_said():
    other = plan("10 20", "30 40", "50", seed=7)
    assert settings_differences(THREE, other, words) == ("Seed: 1 → 7.",)


def test_a_direction_that_one_method_does_not_have_goes_without_saying():
    rule = plan("10 20", "30 40", "50", method="most-followers", direction=Direction.FORWARDS)
    assert settings_differences(rule, THREE, words) == ("Method: Most followers → COMSOAL.",)


def test_a_station_that_holds_something_else_is_said():
    other = plan("10 20", "30", "40 50")
    assert "Station 3 holds 40 and 50 instead of 50." in said(THREE, other)


def test_the_tasks_that_sit_elsewhere_are_counted():
    assert said(THREE, plan("10 20", "30", "40 50")).startswith("1 of 5 tasks sits elsewhere.")


def test_equal_stations_are_said_in_one_sentence():
    assert said(THREE, THREE) == "Every task sits at the same station."


def test_stations_with_other_numbers_are_said_in_a_run():
    other = plan("10", "20", "30 40", "50")
    assert "Stations 3 to 4 are stations 2 to 3 of plan 1." in said(THREE, other)


def test_a_new_station_is_said():
    other = plan("10", "20", "30 40", "50")
    assert "Station 2 is new: it holds 20." in said(THREE, other)


def test_a_station_without_a_partner_is_said():
    before = plan("10", "20", "30 40", "50")
    assert "Station 2 of plan 1 has no partner: its tasks 20 sit elsewhere." in said(before, THREE)
