"""Make, copy, import and archive products."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from stationflow.actions.opening.reading_apart import read_apart
from stationflow.balancing.plan_inputs import is_made_from, plan_inputs_checksum
from stationflow.errors import SourceError, StoreError, named
from stationflow.files.codec import product_checksum
from stationflow.files.product.product_folder import ProductFile
from stationflow.files.product.workbook import read_workbook
from stationflow.files.source import read_source_file
from stationflow.model import Author, Finding, Product
from stationflow.model.changes.cell_places import cell_path
from stationflow.model.changes.change_words import place_words
from stationflow.model.unread import Unread
from stationflow.storage import Draft, Store

MOST_SAID = 10  # places of a file that are named in one sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """A product that came into the store, and what was found in its files."""

    draft: Draft
    findings: tuple[Finding, ...]


def create_product(store: Store, code: str, name: str, *, by: Author) -> Draft:
    """Make a product with an empty main line.

    StoreError if the product code is empty, too long or taken.
    """
    product = Product(code=checked_code(code), name=name.strip(), author=by.name)
    return store.add_product(product, {}, by=by)


def copy_product(store: Store, code: str, new_code: str, *, by: Author) -> Draft:
    """Make a new product like another; plans are not copied, they belong to the original."""
    product = store.draft(code).product
    contents = _contents(product, store.pictures(product))
    copied = replace(product, code=checked_code(new_code), name=f"{product.name} (copy)")
    return store.add_product(copied, contents, by=by)


def archive_product(store: Store, code: str, *, archived: bool, by: Author) -> None:
    """Take a product out of the list, or bring it back."""
    store.set_archived(code, archived, by=by)


def import_product(store: Store, path: Path, *, by: Author) -> Imported:
    """Bring a product folder or workbook into the store.

    SourceError if the path holds no product. ProductExistsError if its product code is taken.
    """
    file = read_source_file(path)
    if not isinstance(file, ProductFile):
        raise SourceError(
            str(path),
            "it is a published instance, not a product.",
            "Balance it on the command line; the store holds products.",
        )
    return _add(store, file, by=by)


def import_workbook(store: Store, content: bytes, *, by: Author, new_code: str = "") -> Imported:
    """Bring an uploaded product workbook into the store."""
    return _add(store, read_apart("workbook", read_workbook, content), new_code, by=by)


def checked_code(code: str) -> str:
    """Return a product code without blanks at its ends.

    StoreError if nothing is left, it is too long, or it holds a character that would not print.
    """
    code = code.strip()
    if not code or len(code) > 60 or not code.isprintable():
        raise StoreError(
            f"The product code {named(code)} cannot be used.",
            "Enter 1 to 60 printable characters, for example AP-200.",
        )
    return code


def _add(store: Store, file: ProductFile, new_code: str = "", *, by: Author) -> Imported:
    """Add a product that was read from files, with its pictures and plans.

    A value that could not be read stays open in the draft and stops what rests on it until it is
    entered; where more than a value is lost, like a row, the files are refused.
    """
    if unread := [each.finding for each in file.product.unread if each.cell is None]:
        said = [f"{finding.where}: {finding.message}" for finding in unread[:MOST_SAID]]
        said += [f"And {len(unread) - MOST_SAID} more."] if len(unread) > MOST_SAID else []
        problem = f"what stands there could not all be read. {' '.join(said)}"
        hint = "Correct these places in the file and bring it in again; nothing was stored."
        raise SourceError(file.product.code, problem, hint)
    product = replace(
        file.product,
        code=checked_code(new_code or file.product.code),
        unread=tuple(map(_placed, file.product.unread)),
    )
    before, now = product_checksum(file.product), product_checksum(product)
    plans = []
    for plan in reversed(file.plans):
        if plan.product_checksum == before or is_made_from(plan, product):  # at any code
            inputs = plan_inputs_checksum(product, plan.line)
            plan = replace(plan, product_version=1, product_checksum=now, inputs=inputs)
        plans.append(replace(plan, product=product.code))
    contents = _contents(product, dict(file.pictures))
    draft = store.add_product(product, contents, by=by, plans=plans)
    return Imported(draft=draft, findings=tuple(file.findings))


def _placed(unread: Unread) -> Unread:
    """Return what was not read with its place in the product instead of that in a file."""
    if unread.cell is None:
        return unread
    finding = replace(
        unread.finding,
        where=place_words(cell_path(unread.cell)),
        hint="Enter it; what is made from it waits for that.",
    )
    return replace(unread, finding=finding)


def _contents(product: Product, pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the bytes of a product's pictures by checksum."""
    return {p.checksum: pictures[p.name] for p in product.pictures if p.name in pictures}
