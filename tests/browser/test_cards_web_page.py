"""Cards as one web page, printed by Chromium: every task is on paper, and nothing is fetched."""

import pypdfium2
import pytest
from playwright.sync_api import Browser

from stationflow import balance_line, read_product
from stationflow.cards import cards_html, station_cards
from stationflow.model import BalanceSettings, Plan
from tests.browser.conftest import ROOT

pytestmark = pytest.mark.browser
A4_POINTS = (841.890, 595.276)  # ISO 216 in points, on its side; from memory


@pytest.fixture(scope="module")
def printed(browser: Browser, tmp_path_factory: pytest.TempPathFactory):
    """Print the cards of the desk fan; return the document and what the page asked for."""
    product = read_product(ROOT / "demo_products" / "desk_fan")[0]
    settings = BalanceSettings(method="ranked-positional-weight", limit=75.0)
    result = balance_line(product, limit_s=settings.limit, method=settings.method)
    cards, _ = station_cards(product, Plan(product=product.code, result=result), version_label="1")
    path = tmp_path_factory.mktemp("web") / "cards.html"
    path.write_bytes(cards_html(cards, {}))
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    document = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    page.close()
    return product, document, asked


def test_every_task_is_on_the_printed_pages(printed):
    product, document, _ = printed
    text = "".join("".join(p.get_textpage().get_text_bounded().split()) for p in document)
    assert [t.name for t in product.tasks if "".join(t.name.split()) not in text] == []


def test_the_pages_have_the_size_asked_for(printed):
    _, document, _ = printed
    assert document[0].get_size() == pytest.approx(A4_POINTS, abs=1.5)


def test_nothing_but_the_page_itself_is_fetched(printed):
    assert len(printed[2]) == 1
