"""Pictures of a product: taken in, turned, cropped, renamed, replaced, taken out."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import chain, count

from stationflow.actions.opening.reading_apart import read_apart
from stationflow.errors import StoreError
from stationflow.files.pictures import (
    edited_picture,
    name_problem,
    picture_checksum,
    uploaded_picture,
)
from stationflow.model import Picture, Product
from stationflow.model.references import Thing, mentions, renamed, without

Changed = tuple[Product, Mapping[str, bytes]]
"""The product with a picture changed, and the bytes to store with it, by checksum."""

HINT = "Choose a PNG, JPEG or WebP picture of at most 20 MB and 40 million pixels."


def take_picture(
    product: Product, name: str, content: bytes
) -> tuple[Product, Mapping[str, bytes], str]:
    """Return the product with an uploaded picture, the bytes to store, and its name.

    A picture of the same name is not overwritten: the new one gets another name.

    StoreError if the file is no picture that can be used; the sentence says why.
    """
    name, cleaned = _cleaned(name, content)
    name = free_name(product, name)
    picture = Picture(name=name, checksum=picture_checksum(cleaned))
    taken = replace(product, pictures=(*product.pictures, picture))
    return taken, {picture.checksum: cleaned}, name


def replace_picture(product: Product, name: str, upload: str, content: bytes) -> Changed:
    """Return the product with another file in the place of a picture; its name stays.

    StoreError if the file is no picture that can be used; the sentence says why.
    """
    _, cleaned = _cleaned(upload, content)
    return _with_content(product, name, cleaned)


def edit_picture(
    product: Product,
    name: str,
    content: bytes,
    *,
    quarter_turns: int = 0,
    crop: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0),
) -> Changed:
    """Return the product with a picture turned to the right and cropped (shares of its sides)."""
    edited = edited_picture(content, quarter_turns=quarter_turns, crop=crop)
    return _with_content(product, name, edited)


def rename_picture(product: Product, name: str, new: str) -> Product:
    """Return the product with a picture renamed; tasks and steps that show it follow.

    StoreError if the new name cannot be used, or another picture has it.
    """
    new = new.strip()
    ending = name[name.rfind(".") :]
    if not new.lower().endswith((".png", ".jpg", ".jpeg")):
        new += ending
    if problem := name_problem(new):
        raise StoreError(f"The picture name {new[:60]!r} cannot be used: {problem}.", "Change it.")
    if new.casefold() in {p.name.casefold() for p in product.pictures if p.name != name}:
        raise StoreError(
            f"Another picture of the product is called {new!r}.", "Choose another name."
        )
    pictures = tuple(replace(p, name=new) if p.name == name else p for p in product.pictures)
    followed = renamed(product, Thing.PICTURE, lambda _: {name: (new,)})
    return replace(followed, pictures=pictures)


def delete_picture(product: Product, name: str) -> Product:
    """Return the product without a picture; tasks and steps that showed it show none."""
    pictures = tuple(p for p in product.pictures if p.name != name)
    return replace(without(product, Thing.PICTURE, [name]), pictures=pictures)


def picture_uses(product: Product, name: str) -> tuple[str, ...]:
    """Return where a picture is shown, in words: "task 30", "step 2 of task 30"."""
    return tuple(mention.words for mention in mentions(product, Thing.PICTURE, name))


def free_name(product: Product, name: str) -> str:
    """Return a picture name that no picture of the product has: "base.png", "base-2.png"."""
    taken = {p.name.casefold() for p in product.pictures}
    stem, dot, ending = name.rpartition(".")
    names = chain([name], (f"{stem}-{turn}{dot}{ending}" for turn in count(2)))
    return next(free for free in names if free.casefold() not in taken)


def _cleaned(name: str, content: bytes) -> tuple[str, bytes]:
    """Return an upload as it may be stored."""
    name, cleaned, finding = read_apart(name, uploaded_picture, content, name)
    if cleaned is None:
        assert finding is not None
        raise StoreError(f"{finding.where}: {finding.message}", HINT)
    return name, cleaned


def _with_content(product: Product, name: str, content: bytes) -> Changed:
    """Return the product with other bytes for one picture."""
    checksum = picture_checksum(content)
    pictures = tuple(
        replace(p, checksum=checksum) if p.name == name else p for p in product.pictures
    )
    return replace(product, pictures=pictures), {checksum: content}
