"""What pages and commands work on: one thing, whether it came from files or out of the store."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from stationflow.actions.opening.starting import open_own_store
from stationflow.balancing.work import LineWork, line_work
from stationflow.errors import NoSourceError, ProductNotFoundError, SourceError, StoreError
from stationflow.files.codec import product_checksum
from stationflow.files.instances import Instance
from stationflow.files.product.product_folder import ProductFile
from stationflow.files.source import read_source_file
from stationflow.model import MAIN_LINE, Finding, Plan, Product, StoredCurve, warning
from stationflow.pace.takt import line_pace
from stationflow.storage import Draft, Store
from stationflow.units import TimeUnit


class Shelf(Protocol):
    """Where plans, pictures and earlier states of a product lie: in the store, or in its files."""

    def plans(self, code: str, line: str | None = None) -> list[Plan]:
        """Return the plans of a product, or of one of its lines, newest first."""

    def plan_in_force(self, code: str, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return the last curve of a line, or None."""

    def pictures(self, product: Product) -> dict[str, bytes]:
        """Return the bytes of a product's pictures by name."""

    def made_from(self, code: str, checksum: str) -> Product:
        """Return an earlier state of a product, its lines called as they are now.

        A StoreError says that it is not there.
        """


@dataclass(frozen=True, slots=True)
class FileShelf:
    """The shelf of a product that was read from files, which hold no earlier states."""

    file: ProductFile

    def plans(self, code: str, line: str | None = None) -> list[Plan]:
        """Return the plans of the files, or of one line."""
        return [plan for plan in self.file.plans if line in (None, plan.line)]

    def plan_in_force(self, code: str, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""
        return next((plan for plan in self.plans(code, line) if plan.in_force), None)

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return None: files hold no curves."""

    def pictures(self, product: Product) -> dict[str, bytes]:
        """Return the bytes of the pictures by name."""
        return dict(self.file.pictures)

    def made_from(self, code: str, checksum: str) -> Product:
        """Say that files hold the newest state only."""
        raise StoreError("The files do not hold the version the plan was made from.", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A product, or a published instance, with all that belongs to it."""

    name: str  # what the command line named; a product's code on a page
    read: Product | Instance  # the product or the instance
    shelf: Shelf | None = None  # where a product's plans, pictures and earlier states lie
    # version, checksum: of the product; version 0: it does not come from the store
    version: int = 0
    checksum: str = ""
    findings: tuple[Finding, ...] = ()  # what was found when it was read

    @property
    def instance(self) -> Instance | None:
        """The published instance; None: it is a product."""
        return self.read if isinstance(self.read, Instance) else None

    @property
    def product(self) -> Product:
        """The product; ask for it only when it is no instance."""
        assert isinstance(self.read, Product)
        return self.read

    @property
    def unit(self) -> TimeUnit | str:
        """The unit in which times are shown."""
        instance = self.instance
        return instance.work.time_unit if instance else self.product.time_unit

    @property
    def lines(self) -> list[str]:
        """The names of the lines that are balanced: all but those whose units are bought in."""
        return [MAIN_LINE] if self.instance else [line.name for line in self.product.made_lines]

    def line(self, asked: str | None) -> str:
        """Return the line that is meant: the one asked for, else the main line."""
        main = None if self.instance else self.product.main_line
        return asked or (main.name if main else MAIN_LINE)

    def work(self, line: str) -> tuple[LineWork | None, tuple[Finding, ...]]:
        """Return the work of a line, and what is wrong with it."""
        instance = self.instance
        return (instance.work, ()) if instance else line_work(self.product, line)

    def limit(self, line: str) -> float | None:
        """Return the limit that demand sets or the instance has; None: there is none."""
        if instance := self.instance:
            return None if instance.cycle_time is None else float(instance.cycle_time)
        return line_pace(self.product, line).station_time_s if self.product.line(line) else None

    def plan_in_force(self, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""
        return self.shelf.plan_in_force(self.product.code, line) if self.shelf else None

    def plans(self, line: str, *, archived: bool = False) -> list[Plan]:
        """Return the plans of a line, newest first; archived ones only if asked for."""
        plans = self.shelf.plans(self.product.code, line) if self.shelf else []
        return [plan for plan in plans if archived or not plan.archived]

    def last_curve(self, line: str) -> StoredCurve | None:
        """Return the last curve of a line, or None."""
        return self.shelf.last_curve(self.product.code, line) if self.shelf else None

    def pictures(self, product: Product) -> dict[str, bytes]:
        """Return the bytes of the pictures of a state of the product, by name."""
        return self.shelf.pictures(product) if self.shelf else {}

    def made_from(self, checksum: str) -> Product | None:
        """Return the state of the product with this checksum; None: it is not there.

        Its lines are called as they are now.
        """
        if checksum == self.checksum:
            return self.product
        try:
            return self.shelf.made_from(self.product.code, checksum) if self.shelf else None
        except StoreError:
            return None


def opened_draft(store: Store, draft: Draft) -> Opened:
    """Return a draft of the store as pages and commands take it."""
    product = draft.product
    return Opened(
        name=product.code,
        read=product,
        shelf=store,
        version=draft.version,
        checksum=draft.checksum,
    )


def unreadable_findings(store: Store, code: str) -> tuple[Finding, ...]:
    """Return what is kept of a product and cannot be read."""
    return tuple(
        warning("stored-unreadable", problem.what, problem.message, problem.hint)
        for problem in store.damage(code)
    )


def open_source(name: str, tell: Callable[[str], object] | None = None) -> Opened:
    """Open a source by path or product code. A path wins over an equal code.

    `tell`: is called with what should be known of how the store was opened.

    NoSourceError if it is neither a path nor a product code in the store. SourceError if it cannot
    be read.
    """
    if _is_path(name):
        return _from_path(name)
    try:
        store = open_own_store()
        if tell and store.notice:
            tell(store.notice)
        opened = opened_draft(store, store.draft(name))
        return replace(opened, findings=unreadable_findings(store, name))
    except ProductNotFoundError:
        raise NoSourceError(name) from None


def _is_path(name: str) -> bool:
    """Return whether there is a file or folder of this name; raise if we may not look."""
    try:
        return bool(name) and Path(name).exists()
    except OSError as problem:  # too long for a name, or a folder that may not be read
        raise SourceError(
            name[:80], f"it cannot be looked up ({problem.strerror}).", "Check the path."
        ) from problem


def _from_path(name: str) -> Opened:
    """Read a source from files; the store is not touched."""
    file = read_source_file(Path(name))
    if isinstance(file, Instance):
        return Opened(name=name, read=file, findings=tuple(file.findings))
    return Opened(
        name=name,
        read=file.product,
        shelf=FileShelf(file),
        checksum=product_checksum(file.product),
        findings=tuple(file.findings),
    )
