"""The precedence in a stranger's sheet: lists read, followers turned round, circles named."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stationflow.balancing.arrows import circles
from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn, Target
from stationflow.files.foreign.foreign_cells import is_empty
from stationflow.files.foreign.foreign_sheet import ForeignSheet, column_letters
from stationflow.files.foreign.import_report import Offer, OfferChoice, Outcome, Report
from stationflow.files.foreign.number_lists import ListAnswers, ListReading, NumberBook, read_list
from stationflow.files.foreign.task_numbers import NumberedRow

MOST_ARROWS = 500_000
MOST_CIRCLES = 5  # that are named

QUESTIONS: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "zeros": (
        "Numbers that differ by leading zeros only stand in {count}, like {example}. "
        "Are they the same?",
        (("match", "Yes, zeros were lost"), ("leave-out", "No, leave these arrows out")),
    ),
    "dates": (
        "Task numbers have become dates in {count}, where {example} may have stood. "
        "What was meant?",
        (
            ("list", "A list: both tasks"),
            ("range", "A range: all tasks from one to the other"),
            ("leave-out", "Leave these arrows out"),
        ),
    ),
    "joined": (
        "Numbers that are no task, but could be several, stand in {count}: {example}. Are they?",
        (("split", "Yes, part them"), ("leave-out", "No, leave these arrows out")),
    ),
}


class Arrows:
    """Reads the predecessors and followers of all tasks."""

    def __init__(
        self,
        sheet: ForeignSheet,
        mapping: ColumnMapping,
        tasks: Sequence[NumberedRow],
        report: Report,
        others: Iterable[str],
    ) -> None:
        self.sheet = sheet
        self.tasks = tasks
        self.report = report
        self.own = {task.number: task for task in tasks}
        self.book = NumberBook.of([*self.own, *others])
        self.before: dict[str, dict[str, None]] = {task.number: {} for task in tasks}
        self.columns = [
            c for target in (Target.PREDECESSORS, Target.FOLLOWERS) for c in mapping.all_of(target)
        ]
        self.arrows = 0
        self.is_full = False

    def read(self) -> dict[str, tuple[str, ...]]:
        """Return the predecessors by task number, and note what is wrong with them."""
        for column in self.columns:
            answers = self._answers(column)
            for task in self.tasks:
                for row in (task.row, *task.further):
                    self._read_cell(task.number, row, column, answers)
        self._name_circles()
        return {number: tuple(before) for number, before in self.before.items()}

    def _answers(self, column: MappedColumn) -> ListAnswers:
        """Ask what the lists of one column do not tell."""
        needs: dict[str, list[tuple[int, str]]] = {}
        for task in self.tasks:
            for row in (task.row, *task.further):
                raw = self.sheet.cell(row, column.position)
                if not is_empty(raw):
                    for need, example in read_list(raw, self.book, ListAnswers()).needs.items():
                        needs.setdefault(need, []).append((row, example))
        answers = ListAnswers()
        for need, found in needs.items():
            sentence, choices = QUESTIONS[need]
            answer = self.report.ask(
                Offer(
                    id=f"{need}:{column_letters(column.position)}",
                    sentence=sentence.format(count=_cells(len(found)), example=found[0][1]),
                    choices=tuple(OfferChoice(value=v, label=label) for v, label in choices),
                    cells=tuple(self.sheet.address(row, column.position) for row, _ in found[:10]),
                )
            )
            answers = replace(answers, **{need: answer or ""})
        return answers

    def _read_cell(self, number: str, row: int, column: MappedColumn, answers: ListAnswers) -> None:
        """Read one list and keep its arrows."""
        raw = self.sheet.cell(row, column.position)
        if is_empty(raw):
            return
        place = (row, column.position)
        reading = read_list(raw, self.book, answers)
        if number in reading.numbers:
            reading.numbers.remove(number)
            message = f"Task {number} names itself; that arrow was left out."
            reading.note(Outcome.ERROR, "own-task", message, "Take the task out of its own list.")
        for other in reading.numbers:
            self._keep(number, other, column, reading)
        became = "; ".join(reading.numbers[:50])
        for note in reading.notes:
            self.report.cell(
                note.severity, note.code, place, note.message, became=became, hint=note.hint
            )

    def _keep(self, number: str, other: str, column: MappedColumn, reading: ListReading) -> None:
        """Keep one arrow; a follower's arrow belongs to the follower."""
        before, after = (other, number)
        if column.target == Target.FOLLOWERS:
            before, after = number, other
        if after not in self.before:
            message = f"Task {after} is not in this sheet, so its predecessors stay as they are."
            reading.note(Outcome.LEFT_OUT, "follower-elsewhere", message)
        elif self.arrows >= MOST_ARROWS:
            if not self.is_full:
                message = f"There are more than {MOST_ARROWS} arrows; the rest was left out."
                reading.note(Outcome.ERROR, "list-too-long", message, "Shorten the lists.")
            self.is_full = True
        elif before not in self.before[after]:
            self.before[after][before] = None
            self.arrows += 1

    def _name_circles(self) -> None:
        """Name the circles of the precedence; the arrows are kept, for a draft may be wrong."""
        place = {number: n for n, number in enumerate(self.before)}
        arrows = [tuple(place[b] for b in before if b in place) for before in self.before.values()]
        numbers = list(self.before)
        for circle in circles(arrows)[:MOST_CIRCLES]:
            first = circle[0]
            path = " > ".join(numbers[n] for n in (*circle, first))
            row = self.own[numbers[first]].row
            column = self.columns[0].position if self.columns else None
            self.report.cell(
                Outcome.ERROR,
                "circle",
                (row, column),
                f"The precedence goes round in a circle: {path}.",
                became="; ".join(self.before[numbers[first]]),
                hint="Take away one of the arrows named; a circle cannot be built.",
            )


def _cells(count: int) -> str:
    """Return a number of cells in words."""
    return "one cell" if count == 1 else f"{count} cells"
