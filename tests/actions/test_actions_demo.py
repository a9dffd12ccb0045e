"""The whole way with every demo product: check, balance each line, print, carry away."""

from datetime import date

import pypdfium2
import pytest
from small_products import ANA

from stationflow.actions.opening import starting
from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.products import product_upkeep, products_out
from stationflow.actions.showing.card_printing import FileKind, PrintForm, cards_of_plan
from stationflow.actions.showing.checking import check_product
from stationflow.balancing.verify import verify
from stationflow.balancing.work import line_work
from stationflow.model import BalanceSettings, has_errors
from stationflow.storage import open_store

RULE = BalanceSettings(method="ranked-positional-weight")
FOLDERS = sorted(path.parent.name for path in starting.DEMO_PRODUCTS.glob("*/product.toml"))


@pytest.fixture(scope="module", params=FOLDERS)
def balanced(request, tmp_path_factory):
    """Return a store with one demo product, its draft, and a plan of every line."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('demo')}/store.db")
    path = starting.DEMO_PRODUCTS / request.param
    draft = product_upkeep.import_product(store, path, **ANA).draft
    plans = [
        balance_and_keep(store, draft, line.name, RULE, **ANA) for line in draft.product.made_lines
    ]
    yield store, draft, plans
    store.close()


def test_a_demo_product_has_no_errors(balanced):
    _, draft, _ = balanced
    assert [f for f in check_product(draft.product) if has_errors((f,))] == []


def test_every_line_of_a_demo_product_is_balanced(balanced):
    _, _, plans = balanced
    assert [p.line for p in plans if not p.plan_id] == []


def test_every_plan_of_a_demo_product_holds(balanced):
    _, draft, plans = balanced
    for plan in plans:
        work, _ = line_work(draft.product, plan.line)
        stations = [station.tasks for station in plan.result.stations]
        assert verify(work, stations, limit=plan.result.limit) == ()


def test_no_plan_of_a_demo_product_is_below_its_bound(balanced):
    _, _, plans = balanced
    assert [p.line for p in plans if len(p.result.stations) < p.result.proof.lower_bound] == []


def test_the_printed_cards_name_every_task_of_the_shortest_line(balanced):
    store, draft, plans = balanced
    plan = min(plans, key=lambda p: len(p.result.stations))
    opened = opened_draft(store, draft)
    cards = cards_of_plan(opened, plan_state(opened, plan))
    pdf = pypdfium2.PdfDocument(cards.file(FileKind.PDF, PrintForm(), date(2026, 3, 2)))
    text = "".join("".join(p.get_textpage().get_text_bounded().split()) for p in pdf)
    numbers = [t.number for t in draft.product.tasks_of(plan.line)]
    assert [n for n in numbers if f"task{n}" not in text] == []


def test_a_demo_product_survives_the_workbook(balanced, tmp_path):
    store, draft, _ = balanced
    content = products_out.export_workbook(store, draft.product.code)
    other = open_store(f"sqlite:///{tmp_path}/other.db")
    came = product_upkeep.import_workbook(other, content, **ANA)
    other.close()
    assert came.draft.product == draft.product
