"""Every page opens, whatever is in the store."""

from pathlib import Path

import pytest
from small_products import BOARD_LAMP, BROKEN, EMPTY, LAMP, MIXED

PAGES = sorted(
    path.stem for path in (Path(__file__).parents[2] / "stationflow/ui/pages").glob("*.py")
)
PRODUCTS = {
    "no product": None,
    "a good product": LAMP,
    "two lines": BOARD_LAMP,
    "a mix": MIXED,
    "an empty product": EMPTY,
    "a broken draft": BROKEN,
}


@pytest.mark.parametrize("name", PRODUCTS)
@pytest.mark.parametrize("page", PAGES)
def test_every_page_opens_with(show, page, name):
    assert show(PRODUCTS[name], page).errors == ""


@pytest.mark.parametrize("page", [page for page in PAGES if page != "products"])
def test_without_a_product_a_page_says_how_to_begin(show, page):
    assert "No product is open yet" in show(None, page).said
