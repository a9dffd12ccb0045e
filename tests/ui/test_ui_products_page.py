"""What an engineer does on the Products page, one sentence a test."""

import pytest
from small_products import ANA, LAMP, write_folder

from stationflow.actions.opening.starting import DEMO_PRODUCTS, open_store_at
from stationflow.actions.products import product_upkeep, products_out
from stationflow.ui import session


@pytest.fixture
def page(show):
    return show(LAMP, "products")


def codes(store) -> list[str]:
    return [row.code for row in store.products()]


def make(page, code: str, name: str = "") -> None:
    page.test.text_input(key="products.new_code").input(code)
    page.test.text_input(key="products.new_name").input(name)
    page.press("products.make")


def test_a_product_is_made(store, page):
    make(page, "N-1", "New")
    assert store.draft("N-1").product.name == "New"


def test_a_product_that_was_made_is_open(page):
    make(page, "N-1")
    assert page.test.session_state[session.PRODUCT] == "N-1"


def test_making_a_product_says_what_comes_next(page):
    make(page, "N-1")
    assert "Enter its tasks on the Tasks page" in page.said


def test_a_product_without_a_code_is_refused_in_a_sentence(page):
    make(page, "  ")
    assert "Enter 1 to 60 printable characters" in page.errors


def test_a_code_that_is_taken_is_refused_in_a_sentence(page):
    make(page, "L-100")
    assert "Choose another product code." in page.errors


def test_the_list_names_every_product(page):
    assert "Table lamp" in page.said


def test_a_product_is_copied(store, page):
    page.test.text_input(key="products.copy_code").input("L-101")
    page.press("products.do_copy")
    assert store.draft("L-101").product.tasks == LAMP.tasks


def test_without_an_open_product_nothing_can_be_copied(show):
    assert show(None, "products").test.button(key="products.do_copy").disabled


def test_an_archived_product_leaves_the_list(store, page):
    page.press("products.archive")
    assert codes(store) == []


def test_an_archived_product_is_no_longer_open(page):
    page.press("products.archive")
    assert session.PRODUCT not in page.test.session_state


def test_an_archived_product_is_shown_when_asked_for(page):
    page.press("products.archive")
    page.test.toggle(key="products.with_archived").set_value(True)
    page.run()
    assert "Table lamp" in page.said


def test_a_workbook_is_imported(store, page):
    content = products_out.export_workbook(store, "L-100")
    page.test.file_uploader(key="products.file").set_value(("lamp.xlsx", content, "application/x"))
    page.test.text_input(key="products.other_code").input("L-102")
    page.press("products.do_import")
    assert store.draft("L-102").product.tasks == LAMP.tasks


def test_a_workbook_whose_code_is_taken_is_refused_in_a_sentence(store, page):
    content = products_out.export_workbook(store, "L-100")
    page.test.file_uploader(key="products.file").set_value(("lamp.xlsx", content, "application/x"))
    page.press("products.do_import")
    assert "Choose another product code." in page.errors


def test_a_file_that_is_no_workbook_is_refused_in_a_sentence(page):
    page.test.file_uploader(key="products.file").set_value(("x.xlsx", b"nothing", "application/x"))
    page.press("products.do_import")
    assert page.errors != ""


def test_importing_without_a_file_says_so(page):
    page.press("products.do_import")
    assert "Choose a workbook first." in page.errors


def test_the_first_start_has_the_demo_products(store, tmp_path, show):
    write_folder(tmp_path / "demo", LAMP)
    open_store_at.cache_clear()  # as in a program that has just been started
    show(None, "products")
    assert codes(store) == ["L-100"]


def test_demo_products_are_brought_back_by_a_button(store, tmp_path, show):
    page = show(None, "products")
    write_folder(tmp_path / "demo", LAMP)
    page.press("products.demo")
    assert codes(store) == ["L-100"]


def test_the_product_in_the_address_is_opened(store, show):
    page = show(LAMP, "products")
    assert page.test.query_params["product"] in ("L-100", ["L-100"])


def test_a_product_that_is_gone_from_the_store_closes_kindly(store, show):
    page = show(None, "products")
    page.test.session_state[session.PRODUCT] = "GONE"
    page.run()
    assert session.PRODUCT not in page.test.session_state


def test_the_demo_products_lie_beside_the_package():
    assert (DEMO_PRODUCTS / "desk_fan" / "product.toml").is_file()


def test_two_stores_do_not_share_products(store, page, tmp_path):
    other = open_store_at(f"sqlite:///{tmp_path}/second.db")
    product_upkeep.create_product(other, "S-1", "Second", **ANA)
    assert codes(store) == ["L-100"]
