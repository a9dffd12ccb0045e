"""Take edits of a product back, and bring them back, several at once and in words."""

from collections.abc import Iterable
from typing import Literal

from stationflow.model import Author
from stationflow.model.changes.change_words import again_words
from stationflow.model.changes.differences import differences
from stationflow.storage import Store

Way = Literal["undo", "redo"]


def go_back(store: Store, code: str, ways: Iterable[Way], *, by: Author) -> tuple[str, ...]:
    """Undo and redo one after the other; return for each what it brought back, as a sentence."""
    said = []
    draft = store.draft(code)
    for way in ways:
        if not (draft.undo_to if way == "undo" else draft.redo_to):
            said.append(f"Nothing is left to {way}.")
            continue
        go = store.undo if way == "undo" else store.redo
        after = go(code, by=by)
        changes = differences(draft.product, after.product)
        said.append(again_words(changes, after.product.time_unit))
        draft = after
    return tuple(said)
