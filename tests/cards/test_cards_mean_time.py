"""The times on a card are those that were balanced."""

from stationflow.balancing.work import line_work
from stationflow.cards.contents.content import balanced_time_ms
from stationflow.model import Model, ModelTime, Product, Task


def test_shares_that_do_not_add_up_give_the_times_of_the_plan():
    """Worked out by hand: (0.5 x 10 + 0.25 x 40) / 0.75 = 20 s."""
    task = Task(number="10", time_ms=10_000, model_times=(ModelTime(model="B", time_ms=40_000),))
    mix = (Model(name="A", share=0.5), Model(name="B", share=0.25))
    product = Product(code="P", models=mix, tasks=(task,))
    work, _ = line_work(product, "main")
    assert work is not None
    assert balanced_time_ms(product, task) == work.times[0] == 20_000
