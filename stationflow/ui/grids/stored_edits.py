"""Show an editable table or form on a page and store what is edited."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

import streamlit as st

from stationflow.actions.products.saving import Saved, save_edit
from stationflow.editing.renaming import with_list
from stationflow.editing.two_editors import Conflict, with_numbers, with_value
from stationflow.errors import StationflowError
from stationflow.model import Product
from stationflow.model.changes.differences import differences
from stationflow.model.references import LISTS
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import grid, saved_elsewhere
from stationflow.ui.grids.detail_tables import DetailTable, detail_table
from stationflow.ui.grids.grid_state import Cells, GridEdit, GridState, judged
from stationflow.ui.grids.saved_elsewhere import Notes
from stationflow.ui.text import plain

MOST_TOLD = 4  # more refused cells than this are told in a table of their own


def table(
    name: str,
    draft: Draft,
    what: DetailTable,
    records: tuple[Any, ...],
    edited: Callable[[GridEdit], Product],
    *,
    height: grid.Height = "auto",
    choose: Callable[[int], None] | None = None,
    chosen: int | None = None,
) -> None:
    """Show one editable table; an edit is in the store before the page is drawn.

    `choose` is called with the place of the record whose row somebody chose; `chosen` is the
    place of the record that is chosen now.
    """
    if what.help:
        st.caption(f"**{plain(what.title)}.** {plain(what.help)}")
    told = st.container()
    turn = saved_elsewhere.notes().turn
    if st.session_state.setdefault(f"{name}.asked", turn) != turn:
        st.session_state[f"{name}.asked"] = turn
        if (was := st.session_state.get(f"{name}.state")) is not None:
            was.is_stale = True

    def drawn() -> GridState:
        state = grid.state_of(name, records, what.columns, what.new)
        state.draft, state.edited = draft, edited
        return state

    state = drawn()
    cells = grid.cells_now(name, state)
    if cells != state.seen:
        if grid.is_torn(name, state):
            st.session_state[f"{name}.torn"] = True
            grid.renew(name)
            session.rerun()
        with told, show.errors():  # what the callback could not store is tried once more
            _store(name, state, saved_elsewhere.notes())
            session.rerun()
    elif not state.was_busy and not state.is_in_step:
        grid.renew(name)
        state = drawn()
    with told:
        _tell(name, state)
    alt = f"{what.title}, editable"
    grid.draw(name, state, _take, height=height, alt=alt, choose=choose, chosen=chosen)
    if not state.is_in_step:  # drawn afresh at once, it would take the cell from who is typing
        st.button(
            "Show new numbers and what others changed",
            icon=":material/refresh:",
            type="tertiary",
            key=f"{name}.fresh",
        )


def product_table(
    draft: Draft,
    name: str,
    height: grid.Height = "auto",
    choose: Callable[[int], None] | None = None,
    part: str = "",
) -> None:
    """Show a table of the schema that belongs to the product; what names its rows follows.

    `part`: which of its columns, where they stand in two tables.
    """
    product, said = draft.product, TABLE[name]
    thing = next((t for t, path in LISTS.items() if path.rpartition(".")[0] == said.path), None)

    def edited(edit: GridEdit) -> Product:
        if thing is not None:
            return with_list(product, thing, edit.records, edit.came_from)
        return with_value(product, tuple(said.path.split(".")), edit.records)

    records = attrgetter(said.path)(product)
    what = detail_table(said, product, part)
    key = ".".join(filter(None, (name, part, product.code)))
    table(key, draft, what, records, edited, height=height, choose=choose)


def stations_table(draft: Draft, name: str, part: str = "") -> None:
    """Show what is special about single stations of a line; `part` as for `product_table`."""
    product, said = draft.product, TABLE["stations"]
    line = next(line for line in product.lines if line.name == name)
    highest = max((station.number for station in line.stations), default=0)

    def edited(edit: GridEdit) -> Product:
        new = replace(line, stations=edit.records)
        return replace(product, lines=tuple(new if o is line else o for o in product.lines))

    what = replace(
        detail_table(said, product, part),
        title=f"Stations of line {name}",
        new=lambda: replace(said.blank(), number=highest + 1),
    )
    key = ".".join(filter(None, ("stations", part, product.code, name)))
    table(key, draft, what, line.stations, edited)


def _take(name: str, turn: int) -> None:
    """Store the edits of a grid before the page is drawn.

    What cannot be stored here stays in the grid; the page then tries again and says why.
    """
    state: GridState | None = st.session_state.to_dict().get(f"{name}.state")
    if state is not None and state.turn != turn:
        state = state.before
    if state is None or state.turn != turn or grid.is_torn(name, state):
        return
    notes = saved_elsewhere.notes()
    with suppress(StationflowError):
        _store(name, state, notes)


def _store(name: str, state: GridState, notes: Notes) -> None:
    """Store the edits of a grid: from the save on nothing may cut in.

    What was typed while this run waited for another is stored with it; the runs that bring it
    find nothing left to store, so that a slow machine does not fall behind who types.
    """
    with notes.lock:
        _store_alone(state, grid.cells_now(name, state), notes)


def _store_alone(state: GridState, cells: Cells, notes: Notes) -> None:
    if cells == (state.pending[1] if state.pending else state.seen):
        return
    assert state.draft is not None
    assert state.edited is not None
    taken = judged(state, cells)
    product = with_numbers(state.edited(taken.edit), state.new_numbers)
    clashing: tuple[Conflict, ...] = ()
    if taken.is_clash:
        wished = with_numbers(state.edited(taken.wished), state.new_numbers)
        clashing = tuple(
            Conflict(c.path, theirs=c.before, mine=c.after) for c in differences(product, wished)
        )
    last, base = state.chain or (state.draft.product, state.draft)
    store, by = session.store(), session.author()
    saved = save_edit(store, product, base=replace(base, product=last), by=by)
    state.new_numbers.update(saved.new_numbers)
    is_merged = saved.theirs is not None or (state.chain is not None and not base.checksum)
    # A checksum of nothing makes the next save bring both sides together again.
    after = replace(saved.draft, checksum="") if is_merged else saved.draft
    state.chain = (with_numbers(product, dict(saved.new_numbers)), after)
    state.pending = (taken, cells)
    state.is_stale = state.is_stale or bool(clashing)
    notes.keep(base.checksum, saved)
    notes.note(saved, clashing)


def _tell(name: str, state: GridState) -> None:
    """Say which cells stand in a table and could not be taken."""
    if st.session_state.pop(f"{name}.torn", False):
        st.error(grid.TORN)
    refused = [*state.refused.values(), *grid.left_out(name, state)]
    if not refused:
        return
    if len(refused) <= MOST_TOLD:
        for cell in refused:
            st.error(plain(cell.words))
    else:
        st.error(
            f"{len(refused)} cells were not taken; they were left as they were. All else is stored."
        )
        rows = [
            {"Row": c.row, "Column": c.column, "Typed": c.text, "Why it was not taken": c.reason}
            for c in refused
        ]
        show.table(rows, "Cells that were not taken", height=180)
    if st.button("Show what is stored", icon=":material/refresh:", key=f"{name}.stored"):
        grid.forget_left_out(name)
        grid.renew(name)
        session.rerun()


@dataclass(frozen=True, slots=True)
class Form:
    """A form and the state of the product its fields were filled from."""

    base: Draft  # an edit is made from it, so that what others changed since is merged
    suffix: str  # to be put behind the keys of the fields; another one draws them afresh


def form(name: str, draft: Draft, field: str) -> Form:
    """Return the state a form is filled from; it stays until the form is stored.

    `field` is the key of one of its fields, without suffix: it shows whether the page was left.
    """
    asked = saved_elsewhere.notes().turn
    key = f"{name}.{draft.product.code}.form"
    base, turn, was_asked = st.session_state.get(key, (draft, 0, asked))
    if was_asked != asked:
        base, turn = draft, turn + 1
    suffix = f".{turn}" if turn else ""
    if was_asked == asked and f"{field}{suffix}" not in st.session_state:  # the page was left
        base = draft
    st.session_state[key] = (base, turn, asked)
    return Form(base, suffix)


def save(draft: Draft, product: Product, contents: Mapping[str, bytes] | None = None) -> bool:
    """Store an edited product, merged with what others saved since `draft`; return whether."""
    store, by, notes = session.store(), session.author(), saved_elsewhere.notes()
    with show.errors():
        with notes.lock:
            saved = save_edit(store, product, base=draft, contents=contents, by=by)
            _noted(notes, draft, saved)
        return True
    return False


def change(draft: Draft, edited: Callable[[Product], Product]) -> bool:
    """Store what was entered in a field that shows `draft`; return whether it is in the store.

    It is done on what was stored here since, which the field may not show yet: two edits in a
    hurry are no edits of two people.
    """
    store, by, notes = session.store(), session.author(), saved_elsewhere.notes()
    with show.errors():
        with notes.lock:
            base = notes.latest(draft, store.newest(draft.product.code).checksum)
            product = edited(base.product)
            if product != base.product:
                _noted(notes, base, save_edit(store, product, base=base, by=by))
        return True
    return False


def _noted(notes: Notes, base: Draft, saved: Saved) -> None:
    notes.keep(base.checksum, saved)
    notes.note(saved)
    notes.turn += 1
