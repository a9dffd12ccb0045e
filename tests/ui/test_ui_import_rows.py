"""The rows of an import that are ticked off, when the table was drawn anew meanwhile."""

from types import SimpleNamespace

import pytest
import streamlit as st

from stationflow.ui.imports import import_preview
from stationflow.units import TimeUnit


class Tables:
    """Draws the table of rows without a browser; keeps what each takes over, and its edits."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.job = SimpleNamespace(turn=0, looked_at="", ticks=[], left_out=set())
        self.edits: dict[str, dict] = {}
        self.taken = []
        monkeypatch.setattr(st, "session_state", SimpleNamespace(to_dict=lambda: self.edits))
        monkeypatch.setattr(import_preview, "_base_ticks", self.base_ticks)
        monkeypatch.setattr(st, "data_editor", lambda *_, **given: self.taken.append(given))
        self.patch = monkeypatch

    def base_ticks(self, job: SimpleNamespace, key: str, rows: list[int]) -> list[bool]:
        """Return the ticks of a table that is new."""
        job.ticks = [row not in job.left_out for row in rows]
        return job.ticks

    def draw(self, rows: list[int]) -> None:
        """Draw the table after an answer."""
        self.job.turn += 1
        records = [{"Row": row, "State": ""} for row in rows]
        self.patch.setattr(import_preview, "_records", lambda *_: records)
        whole = SimpleNamespace(count=len(rows))
        import_preview.rows_table(self.job, whole, TimeUnit.SECOND)

    def tick_off(self, table: int, at: int) -> None:
        """Take the tick off a row of a table that was drawn."""
        self.edits[self.taken[table]["key"]] = {"edited_rows": {at: {import_preview.TICK: False}}}

    def tell(self, table: int) -> None:
        """Let the browser tell a table's ticks."""
        self.taken[table]["on_change"]()


@pytest.fixture
def tables(monkeypatch: pytest.MonkeyPatch) -> Tables:
    return Tables(monkeypatch)


def test_a_table_that_is_told_once_more_after_it_was_drawn_with_other_rows_changes_nothing(tables):
    tables.draw([2, 3, 4])
    tables.draw([2, 3, 4, 5])
    tables.tick_off(1, 3)
    tables.tell(1)
    tables.tell(0)
    assert tables.job.left_out == {5}


def test_a_tick_taken_off_while_the_table_is_drawn_anew_is_kept(tables):
    tables.draw([2, 3, 4])
    tables.draw([2, 3, 4, 5])
    tables.tick_off(0, 1)
    tables.tell(0)
    assert tables.job.left_out == {3}
