"""Names of lines that change: plans and curves go with their line, forth, and back when undone."""

from collections.abc import Callable
from functools import reduce
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from stationflow.editing.renaming import renamed_lines, with_line_names
from stationflow.model import Product
from stationflow.storage.saves import LIGHT, newest_save
from stationflow.storage.store_tables import curves, lines_renamed, plans, saves

MARK = "\n"  # no name of a line holds it


def carry_with_save(connection: Connection, before: Product, after: Product, save_id: int) -> None:
    """Carry what is kept of the lines that a save renames to their new names."""
    for was, name in renamed_lines(before, after).items():
        row = {"save_id": save_id, "before": was, "after": name}
        connection.execute(insert(lines_renamed).values(row))
    carry(connection, after.code, save_id)


def carry(connection: Connection, code: str, save_id: int, *, undone: bool = False) -> None:
    """Carry what is kept of lines to their names after a save, or before it."""
    new = _new_names(connection, save_id, undone=undone)
    for table in (plans, curves):
        kept = update(table).where(table.c.code == code)
        for was, name in new.items():  # names may be exchanged: all leave before one arrives
            connection.execute(kept.where(table.c.line == was).values(line=f"{MARK}{name}"))
        for name in new.values():
            connection.execute(kept.where(table.c.line == f"{MARK}{name}").values(line=name))


def in_names_of_today(connection: Connection, product: Product, checksum: str) -> Product:
    """Return the product as the save of a checksum left it, with its lines called as now."""
    called = called_now(connection, product.code, checksum)
    names = {line.name: called(line.name) for line in product.lines}
    return (
        product
        if all(was == now for was, now in names.items())
        else with_line_names(product, names)
    )


def called_now(connection: Connection, code: str, checksum: str) -> Callable[[str], str]:
    """Return what tells how a line of the save of a checksum is called now."""
    noted = select(lines_renamed.c.save_id).join(saves).where(saves.c.code == code)
    renaming = set(connection.scalars(noted))
    of_checksum = select(*LIGHT).where(saves.c.code == code, saves.c.checksum == checksum)
    save = connection.execute(of_checksum.limit(1)).first() if renaming else None
    if save is None:
        return str
    rows = connection.execute(
        select(saves.c.save_id, saves.c.came_from).where(saves.c.code == code)
    )
    came_from = {row.save_id: row.came_from for row in rows}

    def edits(of: Row[Any]) -> list[int]:
        """Return the edits that led to what a save shows, the last one first."""
        found, edit = [], of.restores or of.save_id
        while edit is not None:
            found.append(edit)
            edit = came_from[edit]
        return found

    then, now = edits(save), edits(newest_save(connection, code))
    way = [*(e for e in then if e not in now), *(e for e in reversed(now) if e not in then)]
    changes = [_new_names(connection, e, undone=e in then) for e in way if e in renaming]
    return lambda name: reduce(lambda was, new: new.get(was, was), changes, name)


def _new_names(connection: Connection, save_id: int, *, undone: bool) -> dict[str, str]:
    """Return the new name by old name of the lines that a save renames, or renamed.

    Plans of a line that is no more may stand under a new name. They are put aside, and come back
    when the name is free.
    """
    of_save = select(lines_renamed).where(lines_renamed.c.save_id == save_id)
    rows = connection.execute(of_save).all()
    new = {row.after: row.before for row in rows} if undone else {r.before: r.after for r in rows}
    aside = {name: f"{name}{MARK}{save_id}" for name in new.values() if name not in new}
    back = {f"{was}{MARK}{save_id}": was for was in new if was not in new.values()}
    return new | aside | back
