"""Open what a command names: product folder, workbook, instance, or product in the store."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from stationflow.actions.opening.starting import open_own_store
from stationflow.errors import NoSourceError, ProductNotFoundError, SourceError
from stationflow.files.codec import product_checksum
from stationflow.files.instances import Instance
from stationflow.files.source import read_source_file
from stationflow.model import Finding, Plan, Product


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What a command works on: a product with pictures and plans, or a published instance.

    Attributes
    ----------
    name
        What the command line named.
    product
        The product, or None for an instance.
    instance
        The published instance, or None for a product.
    version, checksum
        Of the product; version 0: it does not come from the store.
    """

    name: str
    product: Product | None = None
    instance: Instance | None = None
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    plans: tuple[Plan, ...] = ()
    version: int = 0
    checksum: str = ""
    findings: tuple[Finding, ...] = ()

    def plan_in_force(self, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""
        return next((p for p in self.plans if p.line == line and p.in_force), None)


def open_source(name: str) -> Source:
    """Open a source by path or product code. A path wins over an equal code.

    Raises
    ------
    NoSourceError
        If it is neither a path nor a product code in the store.
    SourceError
        If it cannot be read.
    """
    if _is_path(name):
        return _from_path(name, Path(name))
    try:
        return _from_store(name)
    except ProductNotFoundError:
        raise NoSourceError(name) from None


def _is_path(name: str) -> bool:
    """Return whether there is a file or folder of this name.

    Raises
    ------
    SourceError
        If the system does not let us look.
    """
    try:
        return bool(name) and Path(name).exists()
    except OSError as problem:  # too long for a name, or a folder that may not be read
        raise SourceError(
            name[:80], f"it cannot be looked up ({problem.strerror}).", "Check the path."
        ) from problem


def _from_path(name: str, path: Path) -> Source:
    """Read a source from files; the store is not touched."""
    file = read_source_file(path)
    if isinstance(file, Instance):
        return Source(name=name, instance=file, findings=tuple(file.findings))
    return Source(
        name=name,
        product=file.product,
        pictures=dict(file.pictures),
        plans=tuple(file.plans),
        checksum=product_checksum(file.product),
        findings=tuple(file.findings),
    )


def _from_store(code: str) -> Source:
    """Read a product from the store."""
    store = open_own_store()
    draft = store.draft(code)
    return Source(
        name=code,
        product=draft.product,
        pictures=store.pictures(draft.product),
        plans=tuple(store.plans(code)),
        version=draft.version,
        checksum=draft.checksum,
    )
