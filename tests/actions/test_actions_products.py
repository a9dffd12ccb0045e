"""Make, copy, carry and archive products."""

from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, PICTURES, put_in, write_folder

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.products import product_upkeep
from stationflow.actions.products.products_out import export_workbook, folder_archive
from stationflow.errors import ProductExistsError, ProductNotFoundError, SourceError, StoreError
from stationflow.model import BalanceSettings
from stationflow.storage import open_store

RULE = BalanceSettings(method="largest-candidate")


@pytest.fixture
def other(tmp_path):
    """Return a second store, as another plant has it."""
    opened = open_store(f"sqlite:///{tmp_path}/other.db")
    yield opened
    opened.close()


@pytest.fixture
def planned(store):
    """Return the lamp in the store, with a plan in force."""
    draft = put_in(store, LAMP)
    balance_and_keep(store, draft, "main", RULE, **ANA)
    return draft


@pytest.fixture
def workbook(store, planned) -> bytes:
    return export_workbook(store, "L-100")


def test_a_new_product_has_an_empty_main_line(store):
    made = product_upkeep.create_product(store, "N-1", "New", **ANA).product
    assert [line.name for line in made.lines] == ["main"]


def test_a_new_product_belongs_to_who_made_it(store):
    assert product_upkeep.create_product(store, "N-1", "New", **ANA).product.author == "ana"


def test_blanks_around_a_product_code_are_dropped(store):
    assert product_upkeep.create_product(store, "  N-1 ", "New", **ANA).product.code == "N-1"


@pytest.mark.parametrize("code", ["", "   ", "x" * 61, "a\nb", "bell\a"])
def test_a_product_code_that_cannot_be_printed_is_refused(store, code):
    with pytest.raises(StoreError, match="cannot be used"):
        product_upkeep.create_product(store, code, "New", **ANA)


def test_a_product_code_that_is_taken_is_refused(store):
    put_in(store, LAMP)
    with pytest.raises(ProductExistsError):
        product_upkeep.create_product(store, "L-100", "Again", **ANA)


def test_a_copy_has_the_same_tasks(store, planned):
    assert product_upkeep.copy_product(store, "L-100", "L-101", **ANA).product.tasks == LAMP.tasks


def test_a_copy_has_the_pictures(store, planned):
    copied = product_upkeep.copy_product(store, "L-100", "L-101", **ANA)
    assert store.pictures(copied.product) == PICTURES


def test_a_copy_has_no_plans(store, planned):
    product_upkeep.copy_product(store, "L-100", "L-101", **ANA)
    assert store.plans("L-101") == []


def test_an_edit_of_a_copy_leaves_the_original_alone(store, planned):
    copied = product_upkeep.copy_product(store, "L-100", "L-101", **ANA)
    store.save(replace(copied.product, tasks=()), base=copied.checksum, **ANA)
    assert store.draft("L-100").product == LAMP


def test_a_copy_of_what_is_not_there_is_refused(store):
    with pytest.raises(ProductNotFoundError):
        product_upkeep.copy_product(store, "L-1", "L-2", **ANA)


def test_a_workbook_carries_the_whole_product(workbook, other):
    assert product_upkeep.import_workbook(other, workbook, **ANA).draft.product == LAMP


def test_a_workbook_is_read_without_findings(workbook, other):
    assert product_upkeep.import_workbook(other, workbook, **ANA).findings == ()


def test_a_workbook_carries_the_pictures(workbook, other):
    product_upkeep.import_workbook(other, workbook, **ANA)
    assert other.pictures(LAMP) == PICTURES


def test_a_workbook_carries_the_stations_of_its_plans(store, workbook, other):
    product_upkeep.import_workbook(other, workbook, **ANA)
    assert [p.result.stations for p in other.plans("L-100")] == [
        p.result.stations for p in store.plans("L-100")
    ]


def test_a_workbook_carries_which_plan_is_in_force(workbook, other):
    product_upkeep.import_workbook(other, workbook, **ANA)
    assert other.plan_in_force("L-100", "main") is not None


def test_a_plan_that_came_with_a_workbook_is_up_to_date(workbook, other):
    draft = product_upkeep.import_workbook(other, workbook, **ANA).draft
    plan = other.plan_in_force("L-100", "main")
    assert plan_state(opened_draft(other, draft), plan).differences == ()


def test_a_plan_is_up_to_date_under_another_product_code_too(workbook, other):
    draft = product_upkeep.import_workbook(other, workbook, new_code="X-1", **ANA).draft
    plan = other.plan_in_force("X-1", "main")
    assert plan_state(opened_draft(other, draft), plan).differences == ()


def test_plans_of_a_workbook_keep_their_order(store, planned, other):
    for seed in (1, 2):
        settings = BalanceSettings(method="comsoal", seed=seed, trials=5)
        balance_and_keep(store, planned, "main", settings, **ANA)
    product_upkeep.import_workbook(other, export_workbook(store, "L-100"), **ANA)
    assert [p.asked for p in other.plans("L-100")] == [p.asked for p in store.plans("L-100")]


@pytest.mark.parametrize("carried", [export_workbook, folder_archive])
def test_a_plan_whose_version_is_gone_goes_out_with_the_rest(store, planned, carried):
    plan = store.plans("L-100")[0]
    store.add_plan(replace(plan, inputs="", product_checksum="gone", number=0), **ANA)
    assert carried(store, "L-100")


def test_an_import_under_a_taken_code_is_refused(store, workbook):
    with pytest.raises(ProductExistsError):
        product_upkeep.import_workbook(store, workbook, **ANA)


def test_an_import_that_is_refused_leaves_nothing_behind(store, workbook):
    with pytest.raises(ProductExistsError):
        product_upkeep.import_workbook(store, workbook, **ANA)
    assert len(store.plans("L-100")) == 1


def test_an_import_can_take_another_code(store, workbook):
    product_upkeep.import_workbook(store, workbook, new_code="L-102", **ANA)
    assert [row.code for row in store.products()] == ["L-100", "L-102"]


def test_an_upload_that_is_no_workbook_is_refused(store):
    with pytest.raises(SourceError):
        product_upkeep.import_workbook(store, b"no workbook", **ANA)


def test_a_product_folder_comes_in_whole(store, tmp_path):
    folder = write_folder(tmp_path, BOARD_LAMP)
    assert product_upkeep.import_product(store, folder, **ANA).draft.product == BOARD_LAMP


def test_an_instance_is_no_product(store, tmp_path):
    path = tmp_path / "two.IN2"
    path.write_text("2\n4\n3\n1,2\n-1,-1\n", "utf-8")
    with pytest.raises(SourceError, match="published instance"):
        product_upkeep.import_product(store, path, **ANA)


def test_an_archived_product_is_out_of_the_list(store, planned):
    store.set_archived("L-100", True, **ANA)
    assert store.products() == []


def test_an_archived_product_is_listed_when_asked_for(store, planned):
    store.set_archived("L-100", True, **ANA)
    assert [row.archived for row in store.products(archived=True)] == [True]


def test_an_archived_product_keeps_its_plans(store, planned):
    store.set_archived("L-100", True, **ANA)
    assert len(store.plans("L-100")) == 1


def test_an_archived_product_comes_back(store, planned):
    store.set_archived("L-100", True, **ANA)
    store.set_archived("L-100", False, **ANA)
    assert [row.code for row in store.products()] == ["L-100"]
