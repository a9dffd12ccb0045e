"""Save an edit, bringing it together with what somebody else saved meanwhile."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stationflow.editing.two_editors import Conflict, Merged, merged
from stationflow.errors import DraftChangedError
from stationflow.model import Author, Product
from stationflow.model.changes.cell_places import carried_over
from stationflow.model.changes.differences import Change, differences
from stationflow.storage import Draft, Store

TRIES = 20  # saves of others that may come in between, one after the other


@dataclass(frozen=True, slots=True)
class Saved:
    """The outcome of a save."""

    draft: Draft  # the newest state, with the edit in it
    elsewhere: tuple[Change, ...] = ()  # what somebody else had changed since the edit's base
    conflicts: tuple[Conflict, ...] = ()  # what both had changed; stored as the other has it
    # task numbers given afresh, because both had made a task of one number: old and new
    new_numbers: tuple[tuple[str, str], ...] = ()
    theirs: Draft | None = None  # the state somebody else had saved; None: nobody had


def save_edit(
    store: Store,
    product: Product,
    *,
    base: Draft,
    by: Author,
    contents: Mapping[str, bytes] | None = None,
) -> Saved:
    """Save an edited product; merge it when somebody else saved since its base.

    `base`: the state the edit started from. `contents`: bytes of new pictures, by checksum.
    DraftChangedError if others save faster than this edit can be brought in.
    """
    product = carried_over(base.product, product)
    saved = _try(store, product, base, by, contents)
    for _ in range(TRIES):
        if saved is not None:
            return Saved(saved)
        theirs = store.draft(product.code)
        both = _both(base.product, product, theirs.product)
        saved = _try(store, both.product, theirs, by, contents)
        if saved is not None:
            elsewhere = differences(base.product, theirs.product)
            return Saved(saved, elsewhere, both.conflicts, both.new_numbers, theirs)
    newest = store.draft(product.code)
    raise DraftChangedError(product.code, newest.by, newest.version)


def _both(base: Product, mine: Product, theirs: Product) -> Merged:
    """Bring two edits together; what either of them cured is cured."""
    sides = (replace(side, unread=()) for side in (base, mine, theirs))
    both = merged(*sides)
    kept = {each.cell for each in mine.unread}
    stays = (e for e in theirs.unread if e.cell in kept or e not in base.unread)
    return replace(both, product=replace(both.product, unread=tuple(stays)))


def _try(
    store: Store,
    product: Product,
    base: Draft,
    by: Author,
    contents: Mapping[str, bytes] | None,
) -> Draft | None:
    """Save, or return None when somebody else saved since `base`."""
    try:
        return store.save(product, base=base.checksum, by=by, contents=contents)
    except DraftChangedError:
        return None
