"""Whole products out: as a folder of this machine, or as one file, folder or workbook."""

import io
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path

from stationflow.actions.opening.opened import Opened, opened_draft
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.files.product.product_folder import write_product_folder
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Finding, Plan, Product
from stationflow.storage import Store

EARLIEST = (1980, 1, 1, 0, 0, 0)  # that a zip can say; equal products give equal bytes


def folder_problem(folder: Path) -> str:
    """Return why a product cannot be written to a folder; empty: it can, nothing is there."""
    try:
        is_filled = folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
    except OSError as problem:
        return f"{folder} cannot be looked up ({problem.strerror})."
    return f"{folder} is not an empty folder. Name a new or an empty one." if is_filled else ""


def write_folder(opened: Opened, folder: Path) -> None:
    """Write a product with its pictures and plans as a product folder."""
    product = opened.product
    write_product_folder(folder, product, opened.pictures(product), plans_to_carry(opened))


def plans_to_carry(opened: Opened) -> list[Plan]:
    """Return the plans of all lines, each with the checksum of what it rests on.

    That is made anew, as lines are called now, as far as the version the plan was made from is
    there.
    """
    plans = opened.shelf.plans(opened.product.code) if opened.shelf else []
    for at, plan in enumerate(plans):
        made_from = opened.made_from(plan.product_checksum)
        if made_from:
            plans[at] = replace(plan, inputs=plan_inputs_checksum(made_from, plan.line))
    return plans


def folder_archive(store: Store, code: str) -> bytes:
    """Return a product folder as one ZIP file."""
    opened = opened_draft(store, store.draft(code))
    out = io.BytesIO()
    with tempfile.TemporaryDirectory() as place, zipfile.ZipFile(out, "w") as archive:
        folder = Path(place) / "product"
        write_folder(opened, folder)
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                name = zipfile.ZipInfo(str(path.relative_to(folder)), EARLIEST)
                archive.writestr(name, path.read_bytes(), zipfile.ZIP_DEFLATED)
    return out.getvalue()


def export_workbook(store: Store, code: str) -> bytes:
    """Return a product as a workbook, with pictures and plans."""
    opened = opened_draft(store, store.draft(code))
    product = opened.product
    content, _ = write_workbook(product, opened.pictures(product), plans_to_carry(opened))
    return content


def check_workbook(product: Product) -> tuple[Finding, ...]:
    """Return what a workbook could not hold of a product."""
    return write_workbook(product, {})[1]
