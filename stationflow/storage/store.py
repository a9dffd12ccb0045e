"""Products, their versions, pictures and plans, kept in a database.

Nothing is overwritten: every save adds a row. Saves of one author within a
minute carry the same version number, so that a version is a sitting of work
and not a keystroke; a plan names the exact save by its checksum.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection, Engine, and_, exists, func, insert, select, update
from sqlalchemy.exc import DBAPIError

from stationflow.errors import DraftChangedError, PlanNotFoundError, ProductExistsError, StoreError
from stationflow.files.codec import product_to_json, text_checksum
from stationflow.model import Confirmation, Plan, Product, StoredCurve
from stationflow.storage.engine import open_engine
from stationflow.storage.plan_notes import PlanNote, confirm, notes_of, rename, set_note
from stationflow.storage.remembered_columns import RememberedColumns, forget, remember, remembered
from stationflow.storage.saves import (
    LIGHT,
    Draft,
    Newest,
    add_pictures,
    add_save,
    as_utc,
    newest_draft,
    newest_of,
    newest_save,
    next_version,
    restore,
    save_of,
    saved_as,
    stored_product,
    undone_save,
)
from stationflow.storage.store_tables import migrate, pictures, plans, products, saves
from stationflow.storage.stored_curves import keep_curve, last_curve
from stationflow.storage.stored_plans import add_plan, put_in_force, stored_plan


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductRow:
    """One row of the list of products; `has_plan` says whether any plan is in force."""

    code: str
    name: str
    version: int
    tasks: int
    by: str
    at: datetime
    archived: bool
    has_plan: bool


class Store:
    """The store behind one address. Make one with `open_store`."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._writer = engine.execution_options(writing=True)

    # -- products ---------------------------------------------------------------------------

    def products(self, *, archived: bool = False) -> list[ProductRow]:
        """Return the products in the store, by code; archived ones only if asked for."""
        newest = select(func.max(saves.c.save_id)).group_by(saves.c.code)
        planned = exists().where(and_(plans.c.code == products.c.code, plans.c.in_force))
        query = (
            select(products.c.archived, *LIGHT, planned.label("has_plan"))
            .join(saves, saves.c.code == products.c.code)
            .where(saves.c.save_id.in_(newest))
            .order_by(products.c.code)
        )
        if not archived:
            query = query.where(~products.c.archived)
        with self._reading() as connection:
            return [
                ProductRow(
                    code=row.code,
                    name=row.name,
                    version=row.version,
                    tasks=row.task_count,
                    by=row.author,
                    at=as_utc(row.at),
                    archived=row.archived,
                    has_plan=row.has_plan,
                )
                for row in connection.execute(query)
            ]

    def has_products(self) -> bool:
        """Return whether any product was ever put into the store."""
        with self._reading() as connection:
            return connection.execute(select(products.c.code).limit(1)).first() is not None

    def add_product(
        self,
        product: Product,
        contents: Mapping[str, bytes],
        *,
        by: str,
        at: datetime,
        plans: Sequence[Plan] = (),
        begun_as: Product | None = None,
    ) -> Draft:
        """Put a new product into the store: all of it, or nothing.

        Parameters
        ----------
        product
            The product.
        contents
            Bytes of its pictures, by checksum.
        by, at
            Who puts it in, and when (UTC).
        plans
            Its plans, oldest first, those in force marked.
        begun_as
            A state of the same product, mostly an empty one, that an undo goes back to;
            None: there is nothing to go back to.

        Raises
        ------
        ProductExistsError
            If the product code is taken.
        """
        with self._writing() as connection:
            taken = select(products.c.code).where(products.c.code == product.code)
            if connection.execute(taken).first():
                raise ProductExistsError(product.code)
            connection.execute(insert(products).values(code=product.code, archived=False))
            add_pictures(connection, contents)
            add_save(connection, begun_as or product, version=1, by=by, at=at)
            if begun_as is not None:
                begun = newest_save(connection, product.code).save_id
                add_save(connection, product, version=1, by=by, at=at, came_from=begun)
            for plan in plans:
                add_plan(connection, plan)
            return newest_draft(connection, product.code)

    def draft(self, code: str) -> Draft:
        """Return the newest state of a product.

        Raises
        ------
        ProductNotFoundError
            If there is none of this code.
        """
        with self._reading() as connection:
            return newest_draft(connection, code)

    def save(
        self,
        product: Product,
        *,
        base: str,
        by: str,
        at: datetime,
        contents: Mapping[str, bytes] | None = None,
    ) -> Draft:
        """Save an edited product.

        Parameters
        ----------
        product
            The product as it shall be.
        base
            Checksum of the draft the edit started from.
        by, at
            Who saves, and when (UTC).
        contents
            Bytes of pictures that are new, by checksum.

        Raises
        ------
        DraftChangedError
            If the newest state is no longer the one the edit started from.
        """
        with self._writing() as connection:
            newest = newest_save(connection, product.code)
            if newest.checksum != base:
                raise DraftChangedError(product.code, newest.author, newest.version)
            add_pictures(connection, contents or {})
            text = product_to_json(product)
            if text_checksum(text) != newest.checksum:
                add_save(
                    connection,
                    product,
                    text,
                    version=next_version(connection, newest, by, at),
                    by=by,
                    at=at,
                    came_from=newest.restores or newest.save_id,
                )
            return newest_draft(connection, product.code)

    def undo(self, code: str, *, by: str, at: datetime) -> Draft:
        """Go back to the state before the last edit; the undone one is kept."""
        with self._writing() as connection:
            newest = newest_save(connection, code)
            shown = save_of(connection, newest.restores or newest.save_id)
            if shown.came_from is None:
                return newest_draft(connection, code)
            return restore(connection, newest, shown.came_from, by, at)

    def redo(self, code: str, *, by: str, at: datetime) -> Draft:
        """Bring back the state that the last undo left."""
        with self._writing() as connection:
            newest = newest_save(connection, code)
            undone = undone_save(connection, newest)
            if undone is None:
                return newest_draft(connection, code)
            return restore(connection, newest, undone, by, at)

    def saved_product(self, code: str, checksum: str) -> Product:
        """Return a product exactly as one of its saves left it."""
        with self._reading() as connection:
            save = saved_as(connection, code, checksum)
            if save is not None:
                return stored_product(connection, save)
            raise StoreError(
                f"Product {code!r} has no version with the checksum {checksum[:12]}.",
                "Balance again to make a plan from the version that is there.",
            )

    def newest(self, code: str) -> Newest:
        """Return which state of a product is the newest: quick enough to be asked often.

        Raises
        ------
        ProductNotFoundError
            If there is none of this code.
        """
        with self._reading() as connection:
            return newest_of(connection, code)

    def set_archived(self, code: str, archived: bool) -> None:
        """Archive a product, or bring it back. Nothing of it is lost."""
        with self._writing() as connection:
            newest_save(connection, code)
            connection.execute(
                update(products).where(products.c.code == code).values(archived=archived)
            )

    def pictures(self, product: Product) -> dict[str, bytes]:
        """Return the bytes of a product's pictures by name."""
        checksums = {p.checksum for p in product.pictures}
        query = select(pictures).where(pictures.c.checksum.in_(checksums))
        with self._reading() as connection:
            found = {row.checksum: row.content for row in connection.execute(query)}
        return {p.name: found[p.checksum] for p in product.pictures if p.checksum in found}

    # -- plans ------------------------------------------------------------------------------

    def add_plan(self, plan: Plan) -> Plan:
        """Store a plan and return it with its number; in force if it says so."""
        with self._writing() as connection:
            newest_save(connection, plan.product)
            return add_plan(connection, plan)

    def plans(self, code: str, line: str | None = None) -> list[Plan]:
        """Return the plans of a product, or of one of its lines, newest first."""
        query = select(plans).where(plans.c.code == code).order_by(plans.c.plan_id.desc())
        if line is not None:
            query = query.where(plans.c.line == line)
        with self._reading() as connection:
            return [stored_plan(row) for row in connection.execute(query)]

    def plan_in_force(self, code: str, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""
        query = select(plans).where(plans.c.code == code, plans.c.line == line, plans.c.in_force)
        with self._reading() as connection:
            row = connection.execute(query).first()
        return stored_plan(row) if row else None

    def put_in_force(self, code: str, plan_id: int) -> Plan:
        """Put a plan in force; the one before it of the same line no longer is.

        Raises
        ------
        PlanNotFoundError
            If the product has no such plan.
        """
        with self._writing() as connection:
            chosen = and_(plans.c.code == code, plans.c.plan_id == plan_id)
            row = connection.execute(select(plans).where(chosen)).first()
            if row is None:
                raise PlanNotFoundError(code, plan_id)
            put_in_force(connection, code, row.line, plan_id)
        return replace(stored_plan(row), in_force=True)

    def plan_notes(self, code: str) -> dict[int, PlanNote]:
        """Return what is noted beside a product's plans, by plan number."""
        with self._reading() as connection:
            return notes_of(connection, code)

    def set_plan_note(self, code: str, plan_id: int, note: PlanNote) -> None:
        """Put remark and archived state beside a plan; a plan in force cannot be archived."""
        with self._writing() as connection:
            set_note(connection, code, plan_id, note)

    def rename_plan(self, code: str, plan_id: int, name: str) -> None:
        """Give a plan another name."""
        with self._writing() as connection:
            rename(connection, code, plan_id, name)

    def keep_confirmation(self, code: str, plan_id: int, confirmation: Confirmation) -> None:
        """Keep with a plan what a second solver says of it."""
        with self._writing() as connection:
            confirm(connection, code, plan_id, confirmation)

    def keep_curve(self, curve: StoredCurve) -> None:
        """Keep a curve as the last one of its line."""
        with self._writing() as connection:
            keep_curve(connection, curve)

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return the last curve of a line; None: there is none."""
        with self._reading() as connection:
            return last_curve(connection, code, line)

    # -- tables of strangers ------------------------------------------------------------------

    def remembered_columns(self, signature: str) -> RememberedColumns | None:
        """Return how tables with these headings were read the last time, or None."""
        with self._reading() as connection:
            return remembered(connection, signature)

    def remember_columns(self, signature: str, columns: RememberedColumns) -> None:
        """Remember how a table with these headings was read."""
        with self._writing() as connection:
            remember(connection, signature, columns)

    def forget_columns(self, signature: str) -> None:
        """Forget how tables with these headings were read."""
        with self._writing() as connection:
            forget(connection, signature)

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """Give a connection for reading."""
        with _kindly(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """Give a connection inside one transaction: all of it is written, or nothing."""
        with _kindly(), self._writer.begin() as connection:
            yield connection


def open_store(address: str) -> Store:
    """Open the store at an address, making or bringing up to date its tables.

    Raises
    ------
    StoreError
        If the database cannot be opened or is not a store.
    """
    engine = open_engine(address)
    with _kindly(), engine.execution_options(writing=True).begin() as connection:
        migrate(connection)
    return Store(engine)


@contextmanager
def _kindly() -> Iterator[None]:
    """Say in a sentence what the database refused."""
    try:
        yield
    except DBAPIError as problem:
        raise StoreError(
            f"The store did not answer: {problem.orig}.",
            "Nothing was changed. Check that the disk is not full and the file is a store, "
            "then try again.",
        ) from problem
