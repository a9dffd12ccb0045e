"""Drive the pages from app.py, each test with a store of its own."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from google.protobuf.text_format import MessageToString
from small_products import put_in
from streamlit import config
from streamlit.testing.v1 import AppTest

from stationflow.actions.opening import starting
from stationflow.model import Product
from stationflow.storage import Store
from stationflow.ui import session
from stationflow.ui.jobs import made_ready
from stationflow.ui.plans import balance_settings

ROOT = Path(__file__).parents[2]
QUOTED = re.compile(r"\\(.)")  # as a protocol buffer is printed
ESCAPED = re.compile(r"\\([!-/:-@\[-`{-~])")


class App:
    """The app as an engineer sees it: pages, tables, what is said."""

    def __init__(self, product: Product | None, page: str) -> None:
        self.test = AppTest.from_file(str(ROOT / "app.py"), default_timeout=300)
        if product is not None:
            self.test.session_state[session.PRODUCT] = product.code
        self.run()
        if page != "products":
            self.go(page)

    def run(self) -> None:
        """Run the page; an exception on it fails the test."""
        self.test.run()
        assert not self.test.exception, [e.value for e in self.test.exception]

    def go(self, page: str) -> None:
        """Open another page."""
        self.test.switch_page(f"stationflow/ui/pages/{page}.py")
        self.run()

    def press(self, key: str) -> None:
        """Press a button."""
        self.test.button(key=key).click()
        self.run()

    def press_first(self, start: str) -> None:
        """Press the first button whose key begins so."""
        self.press(next(b.key for b in self.test.button if b.key and b.key.startswith(start)))

    def by_exact(self) -> None:
        """Choose the search that proves its plan."""
        way = self.test.segmented_control(key="balance.way")
        way.set_value(balance_settings.PROVEN)
        self.run()

    def edit(self, grid: str, **changes: Any) -> None:
        """Edit a table as the browser tells it: edited_rows, added_rows, deleted_rows.

        A column may be named without the unit in brackets behind its heading.
        """
        state = self.test.session_state[f"{grid}.state"]

        def headed(row: dict[str, str]) -> dict[str, str]:
            headings = {str(h).partition(" (")[0]: str(h) for h in state.frame.columns}
            return {headings.get(name, name): text for name, text in row.items()}

        self.test.session_state[f"{grid}.{state.turn}"] = {
            "edited_rows": {n: headed(r) for n, r in changes.get("edited_rows", {}).items()},
            "added_rows": [headed(row) for row in changes.get("added_rows", [])],
            "deleted_rows": changes.get("deleted_rows", []),
        }
        self.run()

    @property
    def said(self) -> str:
        """All the words on the page, without the marks that keep Markdown from reading them."""
        protos = [MessageToString(e.proto, as_utf8=True) for e in _elements(self.test._tree)]
        words = [QUOTED.sub(lambda m: "\n" if m[1] == "n" else m[1], text) for text in protos]
        words += [frame.value.to_string() for frame in self.test.dataframe]
        return ESCAPED.sub(r"\1", "\n".join(words))

    @property
    def errors(self) -> str:
        """What is told in red."""
        return "\n".join(ESCAPED.sub(r"\1", e.value) for e in self.test.error)


def _elements(block: Any) -> Iterator[Any]:
    """Yield every element below a block."""
    for child in block.children.values():
        if hasattr(child, "children"):
            yield from _elements(child)
        elif getattr(child, "proto", None) is not None:
            yield child


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """Return the app's store, new, without demo products."""
    address = f"sqlite:///{tmp_path}/app.db"
    (tmp_path / "demo").mkdir()
    monkeypatch.setenv("STATIONFLOW_DATABASE", address)
    monkeypatch.setattr(starting, "DEMO_PRODUCTS", tmp_path / "demo")

    def tell(problem: BaseException) -> str:  # tests see bugs, not their number
        raise problem

    monkeypatch.setattr("stationflow.ui.show.report_trouble", tell)
    # A textbook rule answers at once; a test that means the search chooses it.
    monkeypatch.setattr(balance_settings, "USUAL_WAY", balance_settings.TEXTBOOK)
    # Tests start no child of the app's own, and never depend on what it has done so far.
    monkeypatch.setattr(made_ready, "begin", lambda part: None)
    monkeypatch.setattr(made_ready, "is_ready", lambda part: True)
    config.set_option("client.showErrorDetails", "full")
    st.cache_data.clear()
    opened = starting.open_store_at(address)
    yield opened
    opened.close()


@pytest.fixture
def show(store: Store) -> Any:
    """Return a function that puts a product into the store and opens a page with it."""

    def show_page(product: Product | None, page: str) -> App:
        if product is not None and product.code not in {row.code for row in store.products()}:
            put_in(store, product)
        return App(product, page)

    return show_page
