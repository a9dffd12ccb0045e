"""Products with all their saves and pictures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, delete, exists, func, insert, select, update

from stationflow.errors import DraftChangedError, ProductExistsError, StoreError
from stationflow.files.pictures import picture_checksum
from stationflow.model import Author, Plan, Product
from stationflow.storage.database import Database
from stationflow.storage.line_names import carry, carry_with_save, in_names_of_today
from stationflow.storage.saves import (
    LIGHT,
    Draft,
    Newest,
    add_save,
    newest_draft,
    newest_save,
    next_version,
    restore,
    save_of,
    stored_product,
    undone_save,
    which_state,
)
from stationflow.storage.store_tables import pictures, plans, products, saves
from stationflow.storage.stored_plans import change_back, insert_plan, keep_with_save


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductRow:
    """One row of the list of products; it is there even when the product is damaged."""

    code: str
    name: str
    tasks: int
    archived: bool
    has_plan: bool  # whether any plan is in force
    version: int
    # by, at: who saved it, and when (UTC); None: the time is damaged
    by: str
    at: datetime | None


class StoredProducts(Database):
    """All products."""

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
        with self.reading() as connection:
            return [
                ProductRow(
                    code=row.code,
                    name=row.name,
                    tasks=row.task_count,
                    archived=row.archived,
                    has_plan=row.has_plan,
                    version=row.version,
                    by=row.author,
                    at=row.at,
                )
                for row in connection.execute(query)
            ]

    def has_products(self) -> bool:
        """Return whether any product was ever put into the store."""
        with self.reading() as connection:
            return connection.execute(select(products.c.code).limit(1)).first() is not None

    def add_product(
        self,
        product: Product,
        contents: Mapping[str, bytes],
        *,
        by: Author,
        plans: Sequence[Plan] = (),
    ) -> Draft:
        """Put a new product into the store.

        `contents`: bytes of its pictures, by checksum. `plans`: its plans, oldest first, those in
        force marked.
        ProductExistsError if the product code is taken.
        """
        with self.writing(by) as connection:
            taken = select(products.c.code).where(products.c.code == product.code)
            if connection.execute(taken).first():
                raise ProductExistsError(product.code)
            connection.execute(insert(products).values(code=product.code, archived=False))
            _add_pictures(connection, contents)
            add_save(connection, product, version=1, by=by)
            for plan in plans:
                insert_plan(connection, plan)
            return newest_draft(connection, product.code)

    def draft(self, code: str) -> Draft:
        """Return the newest state of a product.

        ProductNotFoundError if there is none of this code.
        """
        with self.reading() as connection:
            return newest_draft(connection, code)

    def newest(self, code: str) -> Newest:
        """Return which state of a product is the newest: quick enough to be asked often.

        ProductNotFoundError if there is none of this code.
        """
        with self.reading() as connection:
            return Newest(**which_state(newest_save(connection, code)))

    def steps(self, code: str, most: int) -> list[Newest]:
        """Return the last saves of a product, at most so many, the newest first."""
        query = select(*LIGHT).where(saves.c.code == code).order_by(saves.c.save_id.desc())
        with self.reading() as connection:
            return [Newest(**which_state(row)) for row in connection.execute(query.limit(most))]

    def save(
        self,
        product: Product,
        *,
        base: str,
        by: Author,
        contents: Mapping[str, bytes] | None = None,
    ) -> Draft:
        """Save an edited product; one without a change adds no version.

        Plans and curves of a line that it renames go with the line.
        `base`: checksum of the draft the edit started from. `contents`: bytes of pictures that are
        new, by checksum.
        DraftChangedError if the newest state is no longer the one the edit started from.
        """
        with self.writing(by) as connection:
            newest = _as_begun(connection, product.code, base)
            _add_pictures(connection, contents or {})
            if product != stored_product(connection, newest):
                _add_edited(connection, product, newest, by)
            return newest_draft(connection, product.code)

    def save_with_plans(
        self,
        product: Product,
        plans: Sequence[Plan],
        *,
        base: str,
        by: Author,
        if_first: bool = False,
    ) -> tuple[Draft, list[Plan]]:
        """Save an edited product and plans made from it, in one.

        Those that say so are put in force, with `if_first` only where their line has none in
        force. Undo takes the edit back, and puts in force what was so before.

        DraftChangedError if the newest state is no longer the one the edit started from.
        """
        with self.writing(by) as connection:
            newest = _as_begun(connection, product.code, base)
            if not plans and product == stored_product(connection, newest):
                return newest_draft(connection, product.code), []
            save_id = _add_edited(connection, product, newest, by)
            draft = newest_draft(connection, product.code)
            given = [
                replace(plan, product_version=draft.version, product_checksum=draft.checksum)
                for plan in plans
            ]
            return draft, keep_with_save(connection, save_id, given, by, if_first=if_first)

    def undo(self, code: str, *, by: Author) -> Draft:
        """Go back to the state before the last edit; the undone one is kept."""
        with self.writing(by) as connection:
            newest = newest_save(connection, code)
            shown = save_of(connection, newest.restores or newest.save_id)
            if shown.came_from is not None:
                restore(connection, newest, shown.came_from, by)
                change_back(connection, code, shown.save_id, undone=True)
                carry(connection, code, shown.save_id, undone=True)
            return newest_draft(connection, code)

    def redo(self, code: str, *, by: Author) -> Draft:
        """Bring back the state that the last undo left."""
        with self.writing(by) as connection:
            newest = newest_save(connection, code)
            undone = undone_save(connection, newest)
            if undone is not None:
                restore(connection, newest, undone, by)
                carry(connection, code, undone)
                change_back(connection, code, undone, undone=False)
            return newest_draft(connection, code)

    def saved_product(self, code: str, checksum: str) -> Product:
        """Return a product exactly as one of its saves left it.

        StoreError if the product has no such save.
        """
        query = select(*LIGHT).where(saves.c.code == code, saves.c.checksum == checksum)
        with self.reading() as connection:
            save = connection.execute(query.limit(1)).first()
            if save is not None:
                return stored_product(connection, save)
        raise StoreError(
            f"Product {code!r} has no version with the checksum {checksum[:12]}.",
            "Balance again to make a plan from the version that is there.",
        )

    def made_from(self, code: str, checksum: str) -> Product:
        """Return a product as one of its saves left it, its lines called as they are now.

        StoreError if the product has no such save.
        """
        product = self.saved_product(code, checksum)
        with self.reading() as connection:
            return in_names_of_today(connection, product, checksum)

    def set_archived(self, code: str, archived: bool, *, by: Author) -> None:
        """Archive a product, or bring it back. Nothing of it is lost."""
        with self.writing(by) as connection:
            newest_save(connection, code)
            connection.execute(
                update(products).where(products.c.code == code).values(archived=archived)
            )

    def pictures(self, product: Product) -> dict[str, bytes]:
        """Return the bytes of a product's pictures by name; one that is damaged is not there."""
        checksums = {p.checksum for p in product.pictures}
        query = select(pictures).where(pictures.c.checksum.in_(checksums))
        with self.reading() as connection:
            found = {
                row.checksum: row.content
                for row in connection.execute(query)
                if picture_checksum(row.content) == row.checksum
            }
        return {p.name: found[p.checksum] for p in product.pictures if p.checksum in found}


def _as_begun(connection: Connection, code: str, base: str) -> Row[Any]:
    """Return the newest save; DraftChangedError if an edit did not start from it."""
    newest = newest_save(connection, code)
    if newest.checksum != base:
        raise DraftChangedError(code, newest.author, newest.version)
    return newest


def _add_edited(connection: Connection, product: Product, newest: Row[Any], by: Author) -> int:
    """Add a save that came from the newest; return its number."""
    version = next_version(connection, newest, by)
    shown = newest.restores or newest.save_id
    save_id = add_save(connection, product, version=version, by=by, came_from=shown)
    carry_with_save(connection, stored_product(connection, newest), product, save_id)
    return save_id


def _add_pictures(connection: Connection, contents: Mapping[str, bytes]) -> None:
    """Add the pictures that are not there yet, or are damaged."""
    chosen = pictures.c.checksum.in_(list(contents))
    kept = connection.execute(select(pictures).where(chosen)).all()
    there = {row.checksum for row in kept if picture_checksum(row.content) == row.checksum}
    damaged = [row.checksum for row in kept if row.checksum not in there]
    if damaged:
        connection.execute(delete(pictures).where(pictures.c.checksum.in_(damaged)))
    new = [{"checksum": c, "content": b} for c, b in contents.items() if c not in there]
    if new:
        connection.execute(insert(pictures), new)
