"""What a page remembers of one editable table, and how its edits become records.

The grid in the browser tells all its edits since it was drawn, again and again; it keeps
what is typed while the page is busy. So an edit is what differs between the cells now and
the cells that were taken last, and taking one twice changes nothing.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stationflow.model import Product
from stationflow.model.changes.record_identity import matched
from stationflow.storage import Draft
from stationflow.ui.grids.grid_columns import Column

Row = tuple[str, ...]
Cells = dict[int, Row]


@dataclass(frozen=True, slots=True)
class GridEdit:
    """What the engineer did in a grid: the records with the changes put in."""

    records: tuple[Any, ...]
    came_from: tuple[int | None, ...]  # the place of each before the edit; None: it is new
    labels: tuple[int, ...] = ()  # the grid's row of each


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
    """The edits of a grid, judged."""

    edit: GridEdit  # what can be stored without overwriting anything
    wished: GridEdit  # the same, and the cells somebody else changed meanwhile as typed here
    refused: dict[tuple[int, str], Refused]  # what could not be read, by row label and column

    @property
    def is_clash(self) -> bool:
        """Whether somebody else changed what was edited here."""
        return self.edit.records != self.wished.records


@dataclass(slots=True)
class GridState:
    """What the page remembers of one grid between two runs."""

    turn: int  # counts the frames given so far; part of the widget's key
    # The frame the grid was first given: the same as long as the grid lives, because a frame
    # fed back from its own answer loses every second edit.
    frame: Any
    drawn: list[Row]  # its rows
    records: tuple[Any, ...]  # as they are stored
    labels: list[int]  # the grid's row of each record; below 0: not in the grid yet
    known: Cells  # what the store held of each row when the grid was last in step with it
    seen: Cells  # the cells that were taken last
    gone: dict[int, Any] = field(default_factory=dict)  # deleted elsewhere, still in the grid
    refused: dict[tuple[int, str], Refused] = field(default_factory=dict)  # still in the grid
    # The product the records belong to, and how an edit of them becomes a product.
    draft: Draft | None = None
    columns: Sequence[Column] = ()
    new: Callable[[], Any] = object
    edited: Callable[[GridEdit], Product] | None = None
    # Edits that are stored and not yet put into `records`, with the cells they came from.
    pending: tuple[Taken, Cells] | None = None
    # The product after those edits as this page made it, and the newest saved state.
    chain: tuple[Product, Draft] | None = None
    new_numbers: dict[str, str] = field(default_factory=dict)  # given while these were stored
    is_over: bool = False  # to be drawn afresh at once
    is_stale: bool = False  # to be drawn afresh as soon as nobody types
    was_busy: bool = False  # this run was begun by an edit of this grid, or a choice in it
    is_held: bool = False  # the next run is begun by a choice in it
    before: "GridState | None" = None  # whose place it took; a late edit of it is still taken

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
            self.records = now  # the page tells its records apart by identity
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
    usual = tuple(column.usual for column in state.columns)  # a new row nobody typed into
    moved = _moved_up(state.seen, cells)
    now_called = {was: label for label, was in moved.items()}
    stored = dict(zip(state.labels, rows_of(state.records, state.columns), strict=True))
    numbers = {label: number for number, label in enumerate(cells, start=1)}
    refused: dict[tuple[int, str], Refused] = {}
    # What may be stored, what was wished, the place before, the row label.
    rows: list[tuple[Any, Any, int | None, int]] = []

    def put(record: Any, label: int, was: int, known: Row | None) -> tuple[Any, Any]:
        """Return a record with the cells that may be stored, and with all that were typed."""
        safe = mine = record
        before = state.seen.get(was, blank)
        for c, column in enumerate(state.columns):
            text = cells[label][c]
            if text == before[c]:
                if standing := state.refused.get((was, column.label)):
                    refused[label, column.label] = standing
                continue
            try:
                mine = column.put(mine, text)
                is_elsewhere = known is not None and known[c] != stored.get(was, known)[c]
                if not is_elsewhere or text == stored[was][c]:
                    safe = column.put(safe, text)
            except ValueError as problem:
                why = Refused(numbers[label], column.label, text, str(problem))
                refused[label, column.label] = why
        return safe, mine

    for place, (record, was) in enumerate(zip(state.records, state.labels, strict=True)):
        label = now_called.get(was, was)
        if was < 0:
            rows.append((record, record, place, was))
        elif label in cells and moved.get(label, label) == was:
            rows.append((*put(record, label, was, state.known.get(was)), place, label))
        elif stored[was] != state.known.get(was, stored[was]):  # deleted here, changed elsewhere
            rows.append((record, None, place, min(-1, *state.labels) - place - 1))
    own = {now_called.get(was, was) for was in state.labels}
    for label, row in cells.items():
        was = moved.get(label, label)
        if label in own and was in state.labels:
            continue
        if was in state.gone:
            if row != state.seen.get(was):
                _, mine = put(state.gone[was], label, was, None)
                rows.append((None, mine, None, label))
        elif row not in (blank, usual):
            rows.append((*put(state.new(), label, was, None), None, label))
    return Taken(
        _edit((safe, place, label) for safe, _, place, label in rows),
        _edit((mine, place, label) for _, mine, place, label in rows),
        refused,
    )


def _edit(rows: Iterable[tuple[Any, int | None, int]]) -> GridEdit:
    """Return an edit from its records, their places before, and their labels."""
    kept = [row for row in rows if row[0] is not None]
    return GridEdit(*zip(*kept, strict=True)) if kept else GridEdit((), ())


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

    `widget` is what the browser tells: edited_rows, added_rows, deleted_rows.
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
