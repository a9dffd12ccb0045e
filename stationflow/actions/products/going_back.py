"""Take edits of a product back and bring them back, one by one or to any point, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from stationflow.actions.products.saving import Saved, save_edit
from stationflow.model import Author
from stationflow.model.changes.change_words import again_words, changes_words
from stationflow.model.changes.differences import differences
from stationflow.storage import Draft, Newest, Store

Way = Literal["undo", "redo"]


@dataclass(frozen=True, slots=True)
class Step:
    """One save of a product, and what it changed."""

    at: Newest
    words: str


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


def last_steps(store: Store, code: str, most: int) -> list[Step]:
    """Return the last steps of a product, at most so many, the newest first."""
    saves = store.steps(code, most + 1)
    steps = []
    for save, before in pairwise(saves):
        now, was = (store.saved_product(code, each.checksum) for each in (save, before))
        words = changes_words(differences(was, now), now.time_unit)
        steps.append(Step(save, words or "Nothing that shows"))
    if len(saves) <= most:
        steps.append(Step(saves[-1], "The product as it began"))
    return steps


def go_back_to(store: Store, draft: Draft, checksum: str, *, by: Author) -> Saved:
    """Make a product again what one of its saves left; an edit like others, which undo takes back.

    What somebody else saved since `draft` stays.
    """
    product = store.saved_product(draft.product.code, checksum)
    return save_edit(store, product, base=draft, by=by)
