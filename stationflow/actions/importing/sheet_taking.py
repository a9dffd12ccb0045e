"""A stranger's sheet taken in without the store, as the command `import` does."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stationflow.actions.importing.bringing_in import is_product_workbook, preview
from stationflow.errors import SourceError
from stationflow.files.foreign.columns.headings import guess_mapping, likeliest_sheet
from stationflow.files.foreign.import_document import import_document, product_records
from stationflow.files.foreign.import_report import SheetImport
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.folder_access import source_bytes
from stationflow.files.product.product_folder import ProductFile, write_product_folder
from stationflow.files.product.workbook import read_workbook
from stationflow.model import Finding, Product, error
from stationflow.model.size_limits import LARGEST_WORKBOOK

LONGEST_CODE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTaken:
    """What a sheet makes of an empty product."""

    product: Product
    imported: SheetImport | None = None  # None: a product workbook, read whole
    findings: tuple[Finding, ...] = ()  # about the whole file
    whole: ProductFile | None = None

    @property
    def open_questions(self) -> int:
        """How many questions are without an answer."""
        return len(self.imported.unanswered) if self.imported else 0


def take_sheet(path: Path, sheet_name: str | None, choices: Mapping[str, str]) -> SheetTaken:
    """Read a sheet of a file; without a name the one that looks most like tasks or parts.

    Raises
    ------
    SourceError
        If the file cannot be read, or has no sheet of that name.
    """
    content = source_bytes(path, LARGEST_WORKBOOK)
    file = read_foreign(content, path.name)
    code = "".join(c for c in path.stem if c.isprintable()).strip()[:LONGEST_CODE] or "new"
    if sheet_name is None and is_product_workbook(file):
        whole = read_workbook(path)
        return SheetTaken(product=whole.product, findings=tuple(whole.findings), whole=whole)
    sheet = likeliest_sheet(file) if sheet_name is None else file.sheet(sheet_name)
    if sheet is None:
        names = ", ".join(repr(each.name) for each in file.sheets[:20])
        raise SourceError(path.name, f"it has no sheet {sheet_name!r}.", f"It has {names}.")
    seen = preview(Product(code=code), sheet, guess_mapping(sheet), choices)
    return SheetTaken(
        product=seen.merge.product, imported=seen.imported, findings=tuple(file.findings)
    )


def write_taken(taken: SheetTaken, folder: Path) -> None:
    """Write what was taken in as a product folder."""
    file = taken.whole or ProductFile(product=taken.product)
    write_product_folder(folder, file.product, dict(file.pictures), file.plans)


def answer_problem(taken: SheetTaken, choices: Mapping[str, str]) -> str:
    """Return which answer is none of the choices of its question; empty: all are."""
    for offer in taken.imported.offers if taken.imported else ():
        given = choices.get(offer.id)
        if given is not None and not offer.takes(given):
            known = ", ".join(choice.value for choice in offer.choices)
            return f"{given!r} is no answer to {offer.id!r}; give one of {known}."
    return ""


def document_of(taken: SheetTaken, choices: Mapping[str, str]) -> dict[str, Any]:
    """Return what was taken in as one document."""
    records = taken.imported.records if taken.imported else product_records(taken.product)
    return import_document(records, taken.imported, taken.findings, choices)


def refused_document(refusal: SourceError) -> dict[str, Any]:
    """Return the document of a file that cannot be read."""
    finding = error("file-broken", refusal.source, refusal.problem, refusal.hint)
    return import_document((), None, [finding])
