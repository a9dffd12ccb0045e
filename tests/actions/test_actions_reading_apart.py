"""Whatever reading a file does, it does to its own process; the app hears a sentence."""

import os
import time

import pytest

from stationflow.actions.opening import reading_apart
from stationflow.actions.opening.reading_apart import read_apart
from stationflow.actions.products.product_upkeep import import_workbook
from stationflow.errors import SourceError
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.foreign.sheets.workbook_parts import PACKED


def test_what_is_read_comes_back():
    file = read_apart("a.csv", read_foreign, b"No;Task\n10;Fit\n", "a.csv")
    assert file.sheets[0].rows == (("No", "Task"), ("10", "Fit"))


def test_a_refusal_of_the_reader_comes_back_as_it_is():
    with pytest.raises(SourceError) as refused:
        read_apart("a.csv", read_foreign, b"", "a.csv")
    assert str(refused.value).startswith("a.csv: the file is empty.")


def test_a_file_that_needs_too_much_memory_is_refused():
    with pytest.raises(SourceError, match="needs more than 2000 MB of memory"):
        read_apart("a.csv", bytearray, 3_000_000_000)


def test_a_file_that_needs_too_much_time_is_refused(monkeypatch):
    monkeypatch.setattr(reading_apart, "MOST_S", 1)
    with pytest.raises(SourceError, match="more than 1 s of processor time"):
        read_apart("a.csv", sum, range(10**14))


def test_a_reader_that_hangs_is_ended(monkeypatch):
    monkeypatch.setattr(reading_apart, "MOST_WAIT_S", 1)
    with pytest.raises(SourceError, match="was stopped after 1 s"):
        read_apart("a.csv", time.sleep, 1_000)


def test_a_reader_that_dies_is_told_in_a_sentence():
    with pytest.raises(SourceError, match="reading it broke off"):
        read_apart("a.csv", os.abort)


def test_an_unforeseen_error_is_a_sentence_with_a_number(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    with pytest.raises(SourceError, match="Something unforeseen happened"):
        read_apart("a.csv", int, "no number")


def test_a_product_workbook_is_read_by_another_process(store, monkeypatch):
    monkeypatch.setattr(reading_apart, "MOST_WAIT_S", 0)
    with pytest.raises(SourceError, match="was stopped after 0 s"):
        import_workbook(store, PACKED[0], by=None)
