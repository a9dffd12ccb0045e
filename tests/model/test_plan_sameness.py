"""When two plans are one answer to one question."""

from dataclasses import replace

import pytest
from small_plans import answer, station

from stationflow.model import Plan
from stationflow.model.plan import FinerGoal, Move, Reached, Rebalanced

RESULT = answer(station(1, ["10"], 20), station(2, ["20"], 10), method="exact", limit=30)
MADE = Rebalanced(was=(1, 2))


def plan(**changes: object) -> Plan:
    return Plan(product="L-100", result=replace(RESULT, **changes), inputs="facts")


def asked(**changes: object) -> Plan:
    return plan(asked=replace(RESULT.asked, **changes))


def reached(value: float, is_proven: bool) -> Plan:
    of_goal = Reached(goal=FinerGoal.SMOOTHEST, value=value, is_proven=is_proven)
    return plan(proof=replace(RESULT.proof, reached=(of_goal,)))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (plan(), asked(then=(FinerGoal.SMOOTHEST,))),
        (asked(then=(FinerGoal.SMOOTHEST,)), asked(then=(FinerGoal.LEAST_EQUIPMENT,))),
        (reached(10.0, is_proven=False), reached(10.0, is_proven=True)),
        (plan(), plan(rebalanced=MADE)),
        (
            plan(rebalanced=MADE),
            plan(rebalanced=replace(MADE, moves=(Move(task="20", old=1, new=2),))),
        ),
    ],
    ids=["second goal", "another second goal", "proof", "rebalanced", "from another plan"],
)
def test_plans_of_equal_stations_that_were_asked_or_say_something_else_are_two(one, other):
    assert not one.is_same(other)


@pytest.mark.parametrize("change", [{"seconds": 5.0}, {"cores": 2}, {"seed": 7}, {"nodes": 9}])
def test_how_long_a_method_looked_is_no_part_of_the_question(change):
    assert plan().is_same(asked(**change))


def test_what_rests_on_facts_that_were_not_kept_is_the_same_as_nothing():
    assert not replace(plan(), inputs="").is_same(replace(plan(), inputs=""))
