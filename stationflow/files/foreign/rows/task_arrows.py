"""The precedence in a stranger's sheet: lists read, followers turned round, circles named."""

from collections.abc import Collection, Iterable, Sequence

from stationflow.balancing.arrows import circles
from stationflow.files.foreign.column_mapping import MappedColumn, Target
from stationflow.files.foreign.columns.number_lists import (
    ListReading,
    NumberBook,
    alike_numbers,
    read_list,
)
from stationflow.files.foreign.foreign_sheet import RawCell, stood
from stationflow.files.foreign.import_report import (
    Answers,
    OfferChoice,
    Reading,
    Report,
    left_out,
    refused,
)
from stationflow.files.foreign.rows.row_kinds import SheetRow
from stationflow.files.foreign.rows.task_numbers import MOST_SINGLE
from stationflow.model.size_limits import MOST_ARROWS

MOST_CIRCLES = 5  # that are named


class Arrows:
    """Reads the predecessors and followers of all tasks."""

    def __init__(
        self,
        report: Report,
        tasks: Sequence[SheetRow],
        others: Iterable[str],
        gone: Collection[str] = (),
    ) -> None:
        self.report = report
        self.name = report.mapping.of(Target.NAME)
        self.own = {task.number: task for task in tasks}
        self.gone = frozenset(gone)  # rows of the sheet that do not come in as tasks
        self.book = NumberBook.of([*self.own, *others, *self.gone])
        self.before: dict[str, dict[str, None]] = {number: {} for number in self.own}
        self.arrows = 0
        self.is_full = False

    def read(self) -> dict[str, tuple[str, ...]]:
        """Return the predecessors by task number, and note what is wrong with them."""
        mapping = self.report.mapping
        columns = (*mapping.all_of(Target.PREDECESSORS), *mapping.all_of(Target.FOLLOWERS))
        rows = [
            (row, task.number) for task in self.own.values() for row in (task.row, *task.further)
        ]

        def reading(raw: RawCell, answers: Answers) -> ListReading:
            return read_list(raw, self.book, answers)

        typos = {
            kind
            for column in columns
            for row, _ in rows
            for kind, _ in reading(self.report.raw(row, column), {}).asks
            if kind.startswith("typo:")
        }
        known = {}
        if len(typos) > MOST_SINGLE:
            known["typos"] = self.report.ask("typos", [], count=str(len(typos)))
        for column in columns:
            answers = self.report.settle(
                column,
                [row for row, _ in rows],
                reading,
                known,
                likely=self._likely,
                accepts=frozenset(self.book.order),
            )
            for row, number in rows:
                self._read_cell(number, row, column, reading(self.report.raw(row, column), answers))
        self._name_circles(columns[0] if columns else None)
        return {number: tuple(before) for number, before in self.before.items()}

    def _likely(self, kind: str) -> tuple[OfferChoice, ...]:
        """Return the tasks that a mistyped number may mean, with their names."""
        _, _, token = kind.partition(":")
        found = alike_numbers(token, self.book) if token else []
        return tuple(OfferChoice(n, f"Task {n}{self._name_of(n)}") for n in found)

    def _name_of(self, number: str) -> str:
        """Return what stands in the name column of a task, to be shown behind its number."""
        task = self.own.get(number)
        name = stood(self.report.raw(task.row, self.name)) if task else ""
        return f", {name[:50]}" if name else ""

    def _read_cell(self, number: str, row: int, column: MappedColumn, reading: ListReading) -> None:
        """Keep the arrows of one list."""
        notes = list(reading.notes)
        numbers = [other for other in reading.numbers if other != number]
        if numbers != reading.numbers:
            message = f"Task {number} names itself; that arrow was left out."
            notes.append(refused("own-task", message, "Take the task out of its own list."))
        is_follower = column.target == Target.FOLLOWERS
        for other in numbers:
            arrow = (number, other) if is_follower else (other, number)
            if (said := self._keep(*arrow)) is not None:
                notes.append(said)
        for note in notes:
            self.report.take(row, column, note, "; ".join(numbers[:50]))

    def _keep(self, before: str, after: str) -> Reading | None:
        """Keep one arrow; return why it was left out, when it was."""
        if gone := [number for number in (before, after) if number in self.gone]:
            message = f"Row {gone[0]} does not come in as a task; the arrow was left out."
            return left_out("arrow-to-summary", message)
        if after not in self.before:
            message = f"Task {after} is not in this sheet, so its predecessors stay as they are."
            return left_out("follower-elsewhere", message)
        if self.arrows < MOST_ARROWS:
            self.arrows += before not in self.before[after]
            self.before[after][before] = None
            return None
        if self.is_full:
            return None
        self.is_full = True
        message = f"There are more than {MOST_ARROWS} arrows; the rest was left out."
        return refused("list-too-long", message, "Shorten the lists.")

    def _name_circles(self, column: MappedColumn | None) -> None:
        """Name the circles of the precedence; the arrows are kept, for a draft may be wrong."""
        place = {number: n for n, number in enumerate(self.before)}
        arrows = [tuple(place[b] for b in before if b in place) for before in self.before.values()]
        numbers = list(self.before)
        for circle in circles(arrows)[:MOST_CIRCLES]:
            first = numbers[circle[0]]
            path = " > ".join(numbers[n] for n in (*circle, circle[0]))
            message = f"The precedence goes round in a circle: {path}."
            hint = "Take away one of the arrows named; a circle cannot be built."
            became = "; ".join(self.before[first])
            said = refused("circle", message, hint)
            self.report.take(self.own[first].row, column, said, became)
