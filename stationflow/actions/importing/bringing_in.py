"""Bring a stranger's spreadsheet into the store: read, look at, and take over in one save."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from stationflow.actions.importing.todays_plan import todays_plan
from stationflow.actions.products.product_upkeep import checked_code
from stationflow.balancing.todays_stations import Stations, todays_lines, todays_obstacle
from stationflow.errors import StoreError
from stationflow.files.csv_text import write_csv
from stationflow.files.foreign.column_mapping import (
    TIME_TARGETS,
    ColumnMapping,
    TableKind,
    heading_signature,
    mapping_from_json,
    mapping_to_json,
    remembered_mapping,
)
from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.foreign_sheet import ForeignFile, ForeignSheet, column_letters
from stationflow.files.foreign.import_report import CellReport, SheetImport
from stationflow.files.foreign.into_product import Merge, MergeMode, merge_parts, merge_tasks
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.product.workbook_writing import GUIDE_SHEET
from stationflow.model import Author, Plan, Product
from stationflow.model.changes.cell_places import carried_over
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft, RememberedColumns, Store
from stationflow.units import TimeUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundColumns:
    """What the columns of a sheet hold, and from where that is known."""

    mapping: ColumnMapping
    remembered: RememberedColumns | None = None  # the last time; None: guessed


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a sheet would bring into a product."""

    base: Product  # as it is before
    mapping: ColumnMapping
    choices: Mapping[str, str]
    imported: SheetImport
    merge: Merge
    today: Mapping[str, Stations]  # of each line whose tasks all have a station of today
    today_obstacle: str = ""  # why the stations of today cannot be kept as plans, in words

    @property
    def count(self) -> int:
        """How many tasks or parts come in."""
        return len(self.imported.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """What an import left in the store: the product, and plans of today's stations."""

    draft: Draft
    plans: tuple[Plan, ...] = ()


def is_product_workbook(file: ForeignFile) -> bool:
    """Return whether a file is a product workbook as Stationflow writes it."""
    names = {sheet.name for sheet in file.sheets}
    return {GUIDE_SHEET, TABLE["product"].title, TABLE["tasks"].title} <= names


def columns_of(
    store: Store,
    sheet: ForeignSheet,
    *,
    kind: TableKind | None = None,
    header_row: int | None = None,
) -> FoundColumns:
    """Return what the columns of a sheet hold: as the last time, or guessed.

    What the rows are, and the row of headings (0: there are none), are found unless chosen.
    """
    guessed = guess_mapping(sheet, kind=kind, header_row=header_row)
    columns = store.remembered_columns(heading_signature(sheet, guessed.header_row))
    try:
        mapping = mapping_from_json(columns.document) if columns else guessed
    except ValueError:  # written by another release: guessing is no loss
        columns = None
    if columns is None or kind not in (None, mapping.kind):
        return FoundColumns(mapping=guessed)
    mapping = remembered_mapping(sheet, guessed.header_row, mapping)
    return FoundColumns(mapping=mapping, remembered=columns)


def forget_columns(
    store: Store, sheet: ForeignSheet, mapping: ColumnMapping, *, by: Author
) -> FoundColumns:
    """Forget how tables with these headings were read, and return a fresh guess."""
    store.forget_columns(heading_signature(sheet, mapping.header_row), by=by)
    return FoundColumns(
        mapping=guess_mapping(sheet, kind=mapping.kind, header_row=mapping.header_row)
    )


def preview(
    product: Product,
    sheet: ForeignSheet,
    mapping: ColumnMapping,
    choices: Mapping[str, str],
    *,
    left_out: Collection[int] = (),
    mode: MergeMode = MergeMode.UPDATE,
) -> Preview:
    """Return what a sheet would bring into a product; nothing is stored.

    `choices` are the answers to questions, by their id; rows of `left_out` do not come in.
    """
    imported = read_rows(sheet, mapping, choices, product, ticked_off=left_out)
    is_tasks = mapping.kind == TableKind.TASKS
    merge = (merge_tasks if is_tasks else merge_parts)(product, imported, mode)
    station_of = {row.record.number: row.station for row in imported.rows}
    has_stations = any(station_of.values())
    today = todays_lines(merge.product, station_of) if has_stations else {}
    return Preview(
        base=product,
        mapping=mapping,
        choices=dict(choices),
        imported=imported,
        merge=merge,
        today=today,
        today_obstacle=todays_obstacle(merge.product, today) if has_stations else "",
    )


def bring_in(
    store: Store,
    looked_at: Preview,
    sheet: ForeignSheet,
    file_name: str,
    *,
    base: str,
    by: Author,
    keep_today: bool = False,
) -> BroughtIn:
    """Store what a preview shows, in one save: one undo takes all of it back.

    How the columns were read is remembered; `base` is the checksum of the draft the preview
    was made from; the stations of today are kept as plans when `keep_today` says so. After an
    undo these are no longer in force.

    Raises
    ------
    StoreError
        If there is nothing to bring in.
    DraftChangedError
        If somebody else saved since; nothing is stored.
    """
    _refuse_nothing(looked_at)
    brought = carried_over(looked_at.base, looked_at.merge.product)
    with store.writing(by):
        _remember(store, looked_at, sheet, file_name, by)
        return _saved(store, brought, looked_at, base, by, keep_today)


def bring_in_as_new(
    store: Store,
    looked_at: Preview,
    sheet: ForeignSheet,
    file_name: str,
    *,
    code: str,
    name: str,
    by: Author,
    keep_today: bool = False,
) -> BroughtIn:
    """Make a product of what a preview shows, in one step; an undo leaves it empty.

    Raises
    ------
    StoreError
        If there is nothing to bring in, or the code is empty or too long.
    ProductExistsError
        If the product code is taken.
    """
    _refuse_nothing(looked_at)
    begun, whole = (
        replace(product, code=checked_code(code), name=name.strip(), author=by.name)
        for product in (looked_at.base, looked_at.merge.product)
    )
    with store.writing(by):
        empty = store.add_product(begun, {}, by=by)
        _remember(store, looked_at, sheet, file_name, by)
        return _saved(store, whole, looked_at, empty.checksum, by, keep_today)


def _refuse_nothing(looked_at: Preview) -> None:
    """Raise when a preview would bring in no row."""
    if not looked_at.imported.rows:
        raise StoreError(
            "No row of the sheet would come in.",
            "Look at the report, choose what the columns hold, or tick rows.",
        )


def _remember(
    store: Store, looked_at: Preview, sheet: ForeignSheet, file_name: str, by: Author
) -> None:
    """Remember how the columns were read."""
    read_by = looked_at.imported.mapping or looked_at.mapping
    mapping = with_answered_units(read_by, looked_at.choices)
    store.remember_columns(
        heading_signature(sheet, mapping.header_row),
        mapping_to_json(mapping),
        file_name,
        by=by,
    )


def _saved(
    store: Store, product: Product, looked_at: Preview, base: str, by: Author, keep_today: bool
) -> BroughtIn:
    """Save what came in, with the stations of today."""
    lines = looked_at.today.items() if keep_today else ()
    made = (todays_plan(product, line, held) for line, held in lines)
    plans = [plan for plan in made if plan is not None]
    draft, kept = store.save_with_plans(product, plans, base=base, by=by, if_first=True)
    return BroughtIn(draft=draft, plans=tuple(kept))


def with_answered_units(mapping: ColumnMapping, choices: Mapping[str, str]) -> ColumnMapping:
    """Return a mapping with the units of time that the engineer answered put into its columns.

    Remembered like that, the same sheet of next month asks for its unit no more.
    """
    answers = [choices.get(f"time-unit:{column_letters(c.position)}") for c in mapping.columns]
    columns = tuple(
        replace(column, unit=TimeUnit(unit)) if unit and column.target in TIME_TARGETS else column
        for column, unit in zip(mapping.columns, answers, strict=True)
    )
    return replace(mapping, columns=columns)


def report_csv(report: Collection[CellReport]) -> bytes:
    """Return a report as a CSV table that is safe to open in a spreadsheet program."""

    def rows() -> Iterator[tuple[str, ...]]:
        yield ("what", "cell", "what stood there", "what became of it", "why", "what to do")
        for entry in report:
            yield (
                entry.severity.value, entry.address, entry.stood, entry.became, entry.message,
                entry.hint,
            )  # fmt: skip

    return write_csv(rows(), byte_order_mark=True)
