"""The same question has the same answer for a product in files and for one in the store."""

from dataclasses import asdict
from datetime import date

import pytest
from small_products import ANA

from stationflow.actions.opening import starting
from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import open_source, opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.opened_balancing import balance_opened
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.products.product_upkeep import import_product
from stationflow.actions.showing.card_printing import (
    FileKind,
    PrintForm,
    cards_of_plan,
    print_cards,
)
from stationflow.actions.showing.checking import check_opened
from stationflow.actions.showing.drawings import draw_opened
from stationflow.actions.showing.explaining import explain_opened
from stationflow.files.plan_document import plan_document
from stationflow.files.product.product_folder import write_product_folder
from stationflow.model import BalanceSettings
from stationflow.storage import open_store

RULE = BalanceSettings(method="ranked-positional-weight")
FOLDERS = sorted(path.parent.name for path in starting.DEMO_PRODUCTS.glob("*/product.toml"))
TODAY = date(2026, 3, 2)


@pytest.fixture(scope="module", params=FOLDERS)
def both(request, tmp_path_factory):
    """Return a demo product with a plan in force on every line: of a folder, and of a store."""
    room = tmp_path_factory.mktemp("both")
    store = open_store(f"sqlite:///{room}/store.db")
    draft = import_product(store, starting.DEMO_PRODUCTS / request.param, **ANA).draft
    for line in draft.product.lines:
        balance_and_keep(store, draft, line.name, RULE, **ANA)
    product = draft.product
    pictures, plans = store.pictures(product), store.plans(product.code)
    write_product_folder(room / "folder", product, pictures, plans)
    yield open_source(str(room / "folder")), opened_draft(store, draft)
    store.close()


def of_both(both, ask):
    """Return what both answer to a question about each of their lines."""
    files, stored = both
    return [[ask(opened, line) for line in opened.lines] for opened in (files, stored)]


def test_a_check_finds_the_same(both):
    files, stored = both
    assert check_opened(files) == check_opened(stored)


def test_a_plan_in_force_has_the_same_findings(both):
    files, stored = of_both(both, lambda opened, line: choose_plan(opened, line, None).findings)
    assert files == stored


def test_a_balance_gives_the_same_document(both):
    def document(opened, line):
        found = plan_document("product", balance_opened(opened, line, RULE))
        return {name: value for name, value in found.items() if name != "runtime_s"}

    files, stored = of_both(both, document)
    assert files == stored


def test_every_number_is_explained_the_same(both):
    files, stored = of_both(both, lambda opened, line: asdict(explain_opened(opened, line, None)))
    assert files == stored


def test_a_diagram_is_the_same(both):
    def drawn(opened, line):
        return draw_opened(opened, line=line, plan=None, kind="svg")

    files, stored = of_both(both, drawn)
    assert files == stored


def test_a_page_and_a_command_give_the_same_cards(both):
    _, stored = both
    form = PrintForm(paper="a3", portrait=True, large_print=True)
    for line in stored.lines:
        content, findings = print_cards(
            stored, line=line, plan=None, kind=FileKind.HTML, on=TODAY, **asdict(form)
        )
        page = cards_of_plan(stored, plan_state(stored, stored.plan_in_force(line)))
        assert (page.file(FileKind.HTML, form, TODAY), page.findings) == (content, findings)


@pytest.mark.parametrize("kind", [FileKind.PDF, FileKind.HTML, FileKind.WORKBOOK])
def test_cards_are_the_same_to_the_byte(both, kind):
    def printed(opened, line):
        return print_cards(opened, line=line, plan=None, kind=kind, on=TODAY)

    files, stored = of_both(both, printed)
    assert files == stored
