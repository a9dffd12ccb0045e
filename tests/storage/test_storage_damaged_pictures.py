"""A picture that is damaged or gone in the store is told, and can be added again."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from small_products import ANA, LAMP, PHOTO, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.showing.card_printing import FileKind, print_cards
from stationflow.actions.showing.checking import check_opened
from stationflow.model import BalanceSettings, Finding, Severity
from stationflow.storage import Store, open_store

DAMAGE = {
    "cut": "UPDATE pictures SET content = substr(content, 1, 60)",
    "gone": "DELETE FROM pictures",
}


@pytest.fixture(params=DAMAGE)
def damaged(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Return a store with the lamp and its plan, in which the picture is damaged."""
    address = f"sqlite:///{tmp_path}/store.db"
    store = open_store(address)
    settings = BalanceSettings(method="ranked-positional-weight", limit=60)
    balance_and_keep(store, put_in(store, LAMP), "main", settings, **ANA)
    store.close()
    with closing(sqlite3.connect(tmp_path / "store.db")) as file, file:
        file.execute(DAMAGE[request.param])
    store = open_store(address)
    yield store
    store.close()


def told(findings: tuple[Finding, ...]) -> list[tuple[Severity, str, bool]]:
    """Return the findings about missing pictures: severity, place, whether it is named."""
    return [
        (f.severity, f.where, '"base.png"' in f.message)
        for f in findings
        if f.code == "picture-missing"
    ]


NAMED = [(Severity.ERROR, "Task 10", True)]


def test_a_check_names_the_picture_and_the_task(damaged: Store):
    assert told(check_opened(opened_draft(damaged, damaged.draft("L-100")))) == NAMED


def test_the_cards_name_the_picture_and_the_task(damaged: Store):
    opened = opened_draft(damaged, damaged.draft("L-100"))
    on = date(2026, 3, 2)
    _, found = print_cards(opened, line=None, plan=None, kind=FileKind.HTML, on=on)
    assert told(found) == NAMED


def test_a_damaged_picture_that_is_added_again_is_whole(damaged: Store):
    draft = damaged.draft("L-100")
    (picture,) = LAMP.pictures
    contents = {picture.checksum: PHOTO}
    damaged.save(draft.product, base=draft.checksum, contents=contents, **ANA)
    assert damaged.pictures(LAMP) == {"base.png": PHOTO}
