"""What a page remembers of one editable table, and how its edits become records.

The grid in the browser tells all its edits since it was drawn, again and again; it keeps
what is typed while the page is busy. So an edit is what differs between the cells now and
the cells that were taken last, and taking one twice changes nothing.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stationflow.editing.record_identity import matched
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui.grids.grid_columns import Column

Row = tuple[str, ...]
Cells = dict[int, Row]


@dataclass(frozen=True, slots=True)
class GridEdit:
    """What the engineer did in a grid.

    Attributes
    ----------
    records
        The records with the changes put in.
    came_from
        For each record its position before the edit; None: it is new.
    problems
        Sentences about cells that could not be taken.
    labels, seen
        The grid's rows that belong to `records`, and their cells.
    """

    records: tuple[Any, ...]
    came_from: tuple[int | None, ...]
    problems: tuple[str, ...] = ()
    labels: list[int] = field(default_factory=list)
    seen: Cells = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Refused:
    """One cell that was not taken: where, what stands in it, and why."""

    row: int
    column: str
    text: str
    reason: str

    @property
    def words(self) -> str:
        """The refusal as a sentence."""
        return f"Row {self.row}, {self.column}: {self.reason} The cell was left as it was."


@dataclass(frozen=True, slots=True)
class Taken:
    """The edits of a grid, judged.

    Attributes
    ----------
    edit
        What can be stored without overwriting anything.
    wished
        The same with the cells somebody else changed meanwhile as they were typed here.
    refused
        Cells that could not be read, by row label and column.
    """

    edit: GridEdit
    wished: GridEdit
    refused: dict[tuple[int, str], Refused]

    @property
    def is_clash(self) -> bool:
        """Whether somebody else changed what was edited here."""
        return self.edit.records != self.wished.records


@dataclass(slots=True)
class GridState:
    """What the page remembers of one grid between two runs.

    Attributes
    ----------
    turn
        Counts the frames given so far; part of the widget's key.
    frame
        The frame the grid was first given: the same as long as the grid lives, because a
        frame fed back from its own answer loses every second edit.
    drawn
        Its rows.
    records, labels
        The stored records, and the grid's row label of each; below 0: not in the grid yet.
    known
        What the store held of each row when the grid was last in step with it.
    seen
        The cells that were taken last.
    gone
        Records that were deleted elsewhere and still stand in the grid.
    refused
        Cells that could not be read and still stand in the grid.
    draft, columns, new, edited
        The product the records belong to, and how an edit of them becomes a product.
    pending
        Edits that are stored and not yet put into `records`, with the cells they came from.
    chain
        The product after those edits as this page made it, and the newest saved state.
    new_numbers
        Task numbers that were given afresh while these edits were stored.
    is_over, is_stale
        Whether the grid has to be drawn afresh: at once, or as soon as nobody types.
    was_busy
        Whether this run was begun by an edit of this grid.
    before
        The grid this one took the place of; a late edit of it is still taken.
    """

    turn: int
    frame: Any
    drawn: list[Row]
    records: tuple[Any, ...]
    labels: list[int]
    known: Cells
    seen: Cells
    gone: dict[int, Any] = field(default_factory=dict)
    refused: dict[tuple[int, str], Refused] = field(default_factory=dict)
    draft: Draft | None = None
    columns: Sequence[Column] = ()
    new: Callable[[], Any] = object
    edited: Callable[[GridEdit], Product] | None = None
    pending: tuple[Taken, Cells] | None = None
    chain: tuple[Product, Draft] | None = None
    new_numbers: dict[str, str] = field(default_factory=dict)
    is_over: bool = False
    is_stale: bool = False
    was_busy: bool = False
    before: "GridState | None" = None

    @property
    def is_in_step(self) -> bool:
        """Whether the grid shows what is stored."""
        if self.is_stale or self.gone or any(label < 0 for label in self.labels):
            return False
        stored = dict(zip(self.labels, rows_of(self.records, self.columns), strict=True))
        return stored == self.known

    def see(self, records: Sequence[Any]) -> None:
        """Note the records as the store has them now, without drawing the grid afresh."""
        now = tuple(records)
        if now == self.records:
            self.records = now
            return
        were = matched(self.records, now)
        lowest = min([0, *self.labels])
        labels = []
        for was in were:
            if was is None:
                lowest -= 1
            labels.append(lowest if was is None else self.labels[was])
        for place in set(range(len(self.records))) - set(were):
            if self.labels[place] >= 0:
                self.gone[self.labels[place]] = self.records[place]
        self.records, self.labels = now, labels

    def keep(self, taken: Taken, cells: Cells) -> None:
        """Note that edits are stored, so that the grid goes on as it is."""
        stored = dict(
            zip(taken.edit.labels, rows_of(taken.edit.records, self.columns), strict=True)
        )
        blank = ("",) * len(self.columns)
        known = {}
        for label, row in stored.items():
            was = self.known.get(label, blank)
            before = self.seen.get(label, blank)
            typed = cells.get(label, before)
            known[label] = tuple(
                now if text != old or label not in self.known else kept
                for now, kept, text, old in zip(row, was, typed, before, strict=True)
            )
        self.known = known
        self.records, self.labels = taken.edit.records, list(taken.edit.labels)
        self.refused = taken.refused
        self.seen = cells
        self.pending, self.chain, self.new_numbers = None, None, {}
        self.gone = {label: r for label, r in self.gone.items() if label in cells}


def judged(state: GridState, cells: Cells) -> Taken:
    """Return what the edits of a grid mean for the stored records.

    A cell that cannot be read leaves its field as it was. A cell that somebody else changed
    since the grid was drawn is not overwritten; nor is a row taken out that somebody else
    changed. Rows without any text are left out.
    """
    blank = ("",) * len(state.columns)
    moved = _moved_up(state.seen, cells)
    now_called = {was: label for label, was in moved.items()}
    stored = dict(zip(state.labels, rows_of(state.records, state.columns), strict=True))
    numbers = {label: number for number, label in enumerate(cells, start=1)}
    refused: dict[tuple[int, str], Refused] = {}
    kept: list[tuple[Any, int | None, int]] = []
    wished: list[tuple[Any, int | None, int]] = []

    def put(record: Any, label: int, was: int, known: Row | None) -> tuple[Any, Any]:
        """Return a record with the cells that may be stored, and with all that were typed."""
        safe = mine = record
        before = state.seen.get(was, blank)
        for c, column in enumerate(state.columns):
            text = cells[label][c]
            standing = state.refused.get((was, column.label))
            if text == before[c]:
                if standing:
                    refused[label, column.label] = standing
                continue
            try:
                mine = column.put(mine, text)
                is_elsewhere = known is not None and known[c] != stored.get(was, known)[c]
                if not is_elsewhere or text == stored[was][c]:
                    safe = column.put(safe, text)
            except ValueError as problem:
                refused[label, column.label] = Refused(
                    numbers[label], column.label, text, str(problem)
                )
        return safe, mine

    for place, (record, was) in enumerate(zip(state.records, state.labels, strict=True)):
        label = now_called.get(was, was)
        if was < 0:
            kept.append((record, place, was))
            wished.append((record, place, was))
        elif label in cells and moved.get(label, label) == was:
            safe, mine = put(record, label, was, state.known.get(was))
            kept.append((safe, place, label))
            wished.append((mine, place, label))
        elif stored[was] != state.known.get(was, stored[was]):  # deleted here, changed elsewhere
            kept.append((record, place, min(-1, *state.labels) - place - 1))
    own = {now_called.get(was, was) for was in state.labels}
    for label, row in cells.items():
        was = moved.get(label, label)
        if label in own and was in state.labels:
            continue
        if was in state.gone:
            if row != state.seen.get(was):
                _, mine = put(state.gone[was], label, was, None)
                wished.append((mine, None, label))
        elif row != blank:
            safe, mine = put(state.new(), label, was, None)
            kept.append((safe, None, label))
            wished.append((mine, None, label))
    problems = tuple(r.words for r in refused.values())
    return Taken(_edit(kept, cells, problems), _edit(wished, cells, problems), refused)


def _edit(
    rows: Sequence[tuple[Any, int | None, int]], cells: Cells, problems: tuple[str, ...]
) -> GridEdit:
    """Return an edit from its records, their places before, and their labels."""
    records, came_from, labels = zip(*rows, strict=True) if rows else ((), (), ())
    return GridEdit(tuple(records), tuple(came_from), problems, list(labels), cells)


def _moved_up(seen: Cells, cells: Cells) -> dict[int, int]:
    """Return which added rows took the label of one before them that was deleted.

    The grid counts added rows anew when one of them is deleted; the texts tell
    which row is which.
    """
    if len(cells) >= len(seen):
        return {}
    left = {label: row for label, row in seen.items() if cells.get(label) != row}
    moved = {}
    for label, row in cells.items():
        if seen.get(label) != row:
            was = next((old for old, text in left.items() if text == row), None)
            if was is not None:
                moved[label] = was
                del left[was]
    return moved


def cells_of(
    drawn: Sequence[Row], widget: Mapping[str, Any] | None, labels: Sequence[str]
) -> Cells:
    """Return the cells of a grid by row label, without blanks at their ends.

    Parameters
    ----------
    drawn
        The rows the grid was drawn with.
    widget
        What the browser tells: edited_rows, added_rows, deleted_rows.
    """
    told = widget or {}
    edited = told.get("edited_rows") or {}
    deleted = set(told.get("deleted_rows") or ())
    place = {label: i for i, label in enumerate(labels)}

    def typed(row: Row, changes: Mapping[str, Any]) -> Row:
        texts = list(row)
        for label, text in changes.items():
            if label in place:
                texts[place[label]] = "" if text is None else str(text).strip()
        return tuple(texts)

    cells = {
        i: typed(row, edited[i]) if i in edited else row
        for i, row in enumerate(drawn)
        if i not in deleted
    }
    blank = ("",) * len(labels)
    for i, changes in enumerate(told.get("added_rows") or (), start=len(drawn)):
        cells[i] = typed(blank, changes)
    return cells


def rows_of(records: Sequence[Any], columns: Sequence[Column]) -> list[Row]:
    """Return records as the texts of their cells."""
    return [tuple(column.show(record).strip() for column in columns) for record in records]
