"""However a line is written down, it is taken as it is, or something is asked; see there."""

import random
from collections import Counter

import pytest
from restyled_sheets import drawn_line, drawn_style, written

from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.import_report import Outcome, SheetImport
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.model import Task

OPEN = {Outcome.ERROR, Outcome.LEFT_OUT, Outcome.OFFERED}


def outcome(number: int) -> str:
    """Return what became of a written line: "same", "asked", or what was taken wrongly."""
    draw = random.Random(number)
    line, style = drawn_line(draw), drawn_style(draw)
    sheet = read_foreign(written(line, style), "sheet").sheets[0]
    imported = read_rows(sheet, guess_mapping(sheet), {})
    taken = {task.number: task for task in imported.records if isinstance(task, Task)}
    for task in taken.values():
        time_ms, before = line.get(task.number, (None, ()))
        if task.number not in line or task.time_ms not in (None, time_ms):
            return f"{number}: task {task.number}, {task.time_ms} ms of {style}"
        if set(task.predecessors) - set(before):
            return f"{number}: task {task.number} after {task.predecessors} of {style}"
    is_whole = line == {n: (task.time_ms, task.predecessors) for n, task in taken.items()}
    return "same" if is_whole else "asked" if is_named(imported) else f"{number}: without a word"


def is_named(imported: SheetImport) -> bool:
    """Return whether a question or a line of the report says that something is open."""
    return bool(imported.unanswered) or any(e.severity in OPEN for e in imported.report)


def wrong(numbers: range) -> list[str]:
    return [said for n in numbers if (said := outcome(n)) not in {"same", "asked"}]


def test_a_line_written_in_any_way_is_never_taken_as_another_one():
    assert wrong(range(150)) == []


@pytest.mark.campaign
@pytest.mark.timeout(1800)
def test_ten_thousand_ways_of_writing_never_make_another_line():
    assert wrong(range(1000, 11_000)) == []


def test_most_ways_that_name_their_unit_are_asked_nothing():
    said = Counter(outcome(n) for n in range(150))
    assert said["same"] > said["asked"] > 0
