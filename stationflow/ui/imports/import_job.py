"""The import under way: the file, and every choice made about it, kept when the page is left."""

from collections.abc import Callable, Hashable, Set
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from stationflow.actions.importing import bringing_in
from stationflow.actions.importing.bringing_in import FoundColumns, Preview
from stationflow.actions.opening.reading_apart import read_apart
from stationflow.errors import StationflowError
from stationflow.files.foreign.column_mapping import ColumnMapping, TableKind
from stationflow.files.foreign.columns.headings import likeliest_sheet
from stationflow.files.foreign.foreign_sheet import ForeignFile, ForeignSheet
from stationflow.files.foreign.into_product import MergeMode
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.model import Product
from stationflow.storage import Draft, RememberedColumns
from stationflow.ui import session, show
from stationflow.ui.text import plain
from stationflow.units import TimeUnit

JOB = "import.job"
TROUBLE = "import.trouble"
KEPT_PREVIEWS = 6
LARGE = 20_000  # cells of a sheet


@dataclass(slots=True)
class ImportJob:
    """One file on its way into a product."""

    content: bytes  # empty for a pasted block
    file: ForeignFile
    sheet: ForeignSheet
    mapping: ColumnMapping
    remembered: RememberedColumns | None = None  # where the mapping is from; None: guessed, chosen
    choices: dict[str, str] = field(default_factory=dict)  # answers to questions, by their id
    mistyped: dict[str, str] = field(default_factory=dict)  # what was typed and is no answer, by id
    left_out: set[int] = field(default_factory=set)  # numbers of rows that are not to come in
    mode: MergeMode = MergeMode.UPDATE
    into_new: bool | None = None  # None: not chosen, the open product if there is one
    new_code: str = ""
    new_name: str = ""
    keep_today: bool = False
    looked_at: str = ""  # checksum of the draft that the preview on the screen was made from
    done: str = ""  # what the last press brought in, in a sentence
    turn: int = 0  # grows when the table of rows has to be drawn afresh
    ticks: list[bool] = field(default_factory=list)  # with which that table began
    previews: dict[Hashable, Preview] = field(default_factory=dict)

    def read_again(self, encoding: str | None, delimiter: str | None) -> None:
        """Read the same bytes with another encoding or delimiter."""
        name = self.file.name
        self.file = read_apart(
            name, read_foreign, self.content, name, encoding=encoding, delimiter=delimiter
        )
        self.take_sheet(self.file.sheets[0])

    def take_sheet(
        self, sheet: ForeignSheet, kind: TableKind | None = None, header_row: int | None = None
    ) -> None:
        """Choose a sheet, what its rows are, or its row of headings; columns are found anew."""
        self.sheet = sheet
        self.take_columns(
            bringing_in.columns_of(session.store(), sheet, kind=kind, header_row=header_row)
        )

    def take_columns(self, found: FoundColumns) -> None:
        """Take over what is known of the columns; answers about others no longer hold."""
        self.mapping, self.remembered = found.mapping, found.remembered
        self.choices.clear()
        self.left_out.clear()
        self.previews.clear()
        self.turn += 1

    def set_column(self, position: int, **changes: Any) -> None:
        """Change what is said of one column: what it holds, its model or unit."""
        self.mapping = self.mapping.with_column(position, **changes)
        self.turn += 1

    def preview(self, product: Product, checksum: str, *, whole: bool = False) -> Preview:
        """Return what would come in, once for each state of the choices; `whole`: with all rows."""
        left_out = frozenset() if whole else frozenset(self.left_out)
        answers = tuple(sorted(self.choices.items()))
        key = (self.mapping, answers, left_out, self.mode, checksum)
        if key not in self.previews:
            while len(self.previews) >= KEPT_PREVIEWS:
                self.previews.pop(next(iter(self.previews)))
            self.previews[key] = self._looked_at(product, left_out)
        return self.previews[key]

    def _looked_at(self, product: Product, left_out: Set[int]) -> Preview:
        """Return what would come in; a large sheet is looked at by a process of its own."""
        given = (product, self.sheet, self.mapping, self.choices)
        if sum(map(len, self.sheet.rows)) <= LARGE:
            return bringing_in.preview(*given, left_out=left_out, mode=self.mode)
        return read_apart(
            self.file.name, bringing_in.preview, *given, left_out=left_out, mode=self.mode
        )


def current() -> ImportJob | None:
    """Return the import under way, or None."""
    job: ImportJob | None = st.session_state.get(JOB)
    return job


def begin(content: bytes, file: ForeignFile) -> None:
    """Begin with a file that was read."""
    sheet = likeliest_sheet(file)
    found = bringing_in.columns_of(session.store(), sheet)
    st.session_state[JOB] = ImportJob(
        content=content, file=file, sheet=sheet, mapping=found.mapping, remembered=found.remembered
    )


def end() -> None:
    """Put the file away."""
    st.session_state.pop(JOB, None)


def target_product(job: ImportJob, draft: Draft | None) -> tuple[Product, str]:
    """Return the product the rows go into, and the checksum of its draft; empty: a new one."""
    if draft is None or job.into_new:
        return Product(code="new"), ""
    return draft.product, draft.checksum


def kept(name: str, value: Any, put: Callable[[Any], None]) -> dict[str, Any]:
    """Return key and callback of a widget whose value outlives the page.

    Streamlit drops the state of widgets when their page is left; here the value stands in
    the job, is put into the widget before it is drawn, and is taken over when it changes.
    """
    key = f"import.{name}"
    st.session_state[key] = value

    @show.last_door()  # the page is drawn all the same
    def take() -> None:
        try:
            put(st.session_state.to_dict()[key])  # a newer run that cuts in would lose it
        except StationflowError as problem:  # told in its place
            st.session_state[TROUBLE] = f"{plain(problem.message)} {plain(problem.hint)}"

    return {"key": key, "on_change": take}


def kept_field(job: ImportJob, name: str, field_name: str) -> dict[str, Any]:
    """Return key and callback of a widget whose value is a field of the job."""
    return kept(name, getattr(job, field_name), lambda value: setattr(job, field_name, value))


def tell_trouble() -> None:
    """Say, once, what the last choice led to when it could not be taken over."""
    if said := st.session_state.pop(TROUBLE, ""):
        st.error(said)


def unit_label(unit: str) -> str:
    """Return a unit as it is chosen; empty: the sheet does not say it."""
    return unit.label if isinstance(unit, TimeUnit) else unit or "unit not said"
