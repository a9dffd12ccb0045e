"""Every opened formula, worked out as it is printed, gives what is printed behind it."""

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from paced_products import paced_products
from printed_formulas import equations, missed, misses

from stationflow.actions.showing.explaining import Numbers
from stationflow.balancing.balance import balance_product
from stationflow.model import BalanceSettings, Explained, Plan, Product

RULE = "ranked-positional-weight"
IN_WORDS = {
    "stations",
    "cycle time",
    "limit",
    "order strength",  # of one task
    "bound by tasks of half the limit and more",  # where there are none
    "bound by tasks of a third of the limit and more",
    "bound by the longest task",
    "bound by tasks that must share a station",
    "bound by what comes before and after each task",
    "balance efficiency on the cycle time",  # where no task takes time
    "balance delay on the cycle time",
    "bound by the work content",
    "earliest station",
    "latest station",
    "quantity in one product",  # where no task fits the part
}
"""Numbers that are counted or chosen: no arithmetic leads to them."""


def numbers_of(product: Product, line: str, asked: BalanceSettings | None) -> list[Explained]:
    """Return every number of a line, with a plan that answers what is asked."""
    plan = None
    if asked is not None:
        plan = Plan(product=product.code, result=balance_product(product, line, asked))
    return list(Numbers(product, line, plan if plan and plan.result.has_plan else None).all())


NO_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)
questions = st.one_of(
    st.none(),
    st.just(BalanceSettings(method=RULE)),
    st.integers(1, 6).map(lambda n: BalanceSettings(method=RULE, stations=n)),
    st.floats(120, 400).map(lambda limit: BalanceSettings(method=RULE, limit=round(limit, 2))),
)


@settings(
    max_examples=60, deadline=None, phases=NO_SHRINKING, suppress_health_check=list(HealthCheck)
)
@given(paced_products(), st.sampled_from(["main", "board"]), questions)
def test_every_text_gives_what_it_prints(product, line, asked):
    found = numbers_of(product, line, asked)
    assert found
    assert [miss for number in found for miss in misses(number)] == []
    assert {n.name for n in found if not equations(n.worked)} <= IN_WORDS
    assert [n.key for n in found if n.check.startswith("Differs")] == []


# The reader itself, by hand.
@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("27 000 s x 1 / 450 = 60.000 s", 0),
        ("(480 - 30) + max(0, 240 - 300) = 450", 0),
        ("(480 - 30) + (240 - 300) = 450", 1),
        ("195 / 50.4 = 3.869, rounded up 4", 0),
        ("195 / 50.4 = 3.87, rounded up 3", 1),
        ("90 s = 1.5 min", 0),
        ("90 s = 1.6 min", 1),
        ("square root of (371) = 19.261 s", 0),
        ("2 x (1 + 0.25) - 1 / 2 = 2", 0),
        ("largest of 3 (the work content), 4 (halves) = 4", 0),
    ],
)
def test_the_reader_of_texts_works_them_out(text: str, wrong: int):
    assert len(missed(text)) == wrong
