"""Cards on paper: PDF, and the same pages as pictures."""

import dataclasses
import io
import json
import re
import shutil
import tempfile
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from stationflow.cards.card import Card
from stationflow.cards.fonts import typst_fonts
from stationflow.cards.paper import Paper
from stationflow.errors import CardError

HERE = Path(__file__).parent
A4_LONG_MM = 297.0
TEXT_SIZES = (18.0, 16.0, 14.0, 12.0, 11.0, 10.0, 9.0)
"""Sizes tried from large to small in points on A4, until a card fits on one page."""
A3_SIZES = (8.0, 7.2)
"""Further sizes on A3, where all is set larger by the scale of the sheet."""
MIDDLE_SIZE = 11.0
"""The size a card is measured at first."""
FLOW_SIZES = (11.5, 10.5, 9.5)
"""Sizes of a card that needs several pages anyway, in points on A4."""
PICTURE_MM_PER_POINT = 2.1
"""Height of a picture in mm for each point of text size: 23 mm beside text of 11 points."""
LONG_WORD = re.compile(r"\S{20,}")
HEADER_LENGTHS = {
    "product_name": 90,
    "product_code": 40,
    "line_label": 60,
    "prepared_by": 26,
    "approved_by": 26,
    "mark": 40,
}
"""Most characters in the fields of header and footer, which cannot flow to a next page."""
CODE_LENGTH = 26
FILE_NAMES = ("picture", "symbol")
BREAK = "\N{ZERO WIDTH SPACE}"
LARGEST_PIXELS = 1600


def cards_pdf(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    created: date | None = None,
) -> bytes:
    """Return the cards as one PDF.

    Parameters
    ----------
    pictures
        Bytes of the pictures by name. One that cannot be read is left out.
    created
        Date written into the PDF; the same cards and date give the same bytes.
        None: 1970-01-01.

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    pages = _set_cards(cards, pictures, paper, portrait, {"format": "pdf"}, created)
    return pages[0]


def cards_png(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    ppi: float = 110,
    pages: Collection[int] | None = None,
) -> list[bytes]:
    """Return the pages of the same document as PNG pictures.

    Parameters
    ----------
    ppi
        Pixels per inch of paper.
    pages
        Page numbers from 1 to return; None: all.

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    shown = _set_cards(cards, pictures, paper, portrait, {"format": "png", "ppi": ppi}, None)
    return [png for n, png in enumerate(shown, start=1) if pages is None or n in pages]


def _set_cards(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    paper: Paper,
    portrait: bool,
    form: dict[str, Any],
    created: date | None,
) -> list[bytes]:
    """Set the cards in a folder of their own and return the files made."""
    if not cards:
        raise CardError("There are no cards to print.", "Balance the line first.")
    import typst

    with tempfile.TemporaryDirectory(prefix="cards-") as folder:
        root = Path(folder)
        shutil.copytree(HERE / "template", root, dirs_exist_ok=True)
        shutil.copytree(HERE / "symbols", root / "symbols")
        data = _document(cards, paper, portrait)
        data["pictures"] = dict(_placed(cards, pictures, root))
        for name, content in (("data", data), ("cards", [_card_data(card) for card in cards])):
            text = json.dumps(content, ensure_ascii=False)
            (root / f"{name}.json").write_bytes(text.encode("utf-8", "replace"))
        try:
            made, _ = typst.compile_with_warnings(
                str(root / "card.typ"),
                root=folder,
                font_paths=typst_fonts(),
                timestamp=_timestamp(created),
                **form,
            )
        except typst.TypstError as problem:
            raise CardError(f"The cards could not be set: {problem}") from problem
    return list(made) if isinstance(made, list) else [made]


def _timestamp(created: date | None) -> int:
    """Return midnight of a date in seconds since 1970."""
    if created is None:
        return 0
    return int(datetime.combine(created, time(), UTC).timestamp())


def _document(cards: Sequence[Card], paper: Paper, portrait: bool) -> dict[str, Any]:
    """Return what the template reads beside the cards."""
    width, height = paper.size_mm(portrait=portrait)
    first = cards[0]
    return {
        "width_mm": width,
        "height_mm": height,
        # A3 is read from further away: all sizes grow by two thirds of what the sheet grows.
        "scale": 1 + (max(width, height) / A4_LONG_MM - 1) * 2 / 3 if paper == Paper.A3 else 1.0,
        "sizes": TEXT_SIZES + (A3_SIZES if paper == Paper.A3 else ()),
        "middle_size": MIDDLE_SIZE,
        "flow_sizes": FLOW_SIZES,
        "picture_mm": PICTURE_MM_PER_POINT,
        "families": [],
        "lang": "en",
        "title": f"Station cards {first.product_code}, line {first.line}, {first.version_label}",
        "author": first.prepared_by,
        "keywords": [first.product_code, first.line],
    }


def _card_data(card: Card) -> dict[str, Any]:
    """Return a card as plain data, with its code drawn."""
    data: dict[str, Any] = dataclasses.asdict(card)
    for name, most in HEADER_LENGTHS.items():
        data[name] = _shortened(data[name], most)
    data["code"]["words"] = [_shortened(word, CODE_LENGTH) for word in card.code.words]
    data = _plain(data)
    data["code"]["svg"] = _code_svg(card.code.content)
    return data


def _shortened(text: str, most: int) -> str:
    """Return text cut to a length, with dots where it was cut."""
    return text if len(text) <= most else text[: most - 1] + "…"


def _plain(value: Any) -> Any:
    """Turn numbers into floats and let words too long for a line break anywhere."""
    if isinstance(value, dict):
        return {k: inner if k in FILE_NAMES else _plain(inner) for k, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if isinstance(value, Decimal):
        return float(value)
    return LONG_WORD.sub(lambda m: BREAK.join(m[0]), value) if isinstance(value, str) else value


def _code_svg(content: str) -> str:
    """Return the code to scan as SVG."""
    import segno

    file = io.BytesIO()
    code = segno.make(content, error="m", micro=False)
    code.save(file, kind="svg", border=1, xmldecl=False, light="#ffffff")
    return file.getvalue().decode("utf-8")


def _placed(
    cards: Iterable[Card], pictures: Mapping[str, bytes], root: Path
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Put the pictures in use into the folder, under names of our own; leave out broken ones."""
    named = dict.fromkeys(p.picture for card in cards for task in card.tasks for p in task.pictures)
    for place, name in enumerate(named):
        read = _readable(pictures[name]) if name in pictures else None
        if read is not None:
            data, ratio, ending = read
            file = f"picture-{place}.{ending}"
            (root / file).write_bytes(data)
            yield name, {"file": file, "ratio": ratio}


def _readable(data: bytes) -> tuple[bytes, float, str] | None:
    """Return a picture's bytes, width / height and file ending; None if it is no PNG or JPEG."""
    from PIL import Image, ImageOps

    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
            ending = "png" if picture.format == "PNG" else "jpg"
            picture.load()
            upright = ImageOps.exif_transpose(picture)
            if max(picture.size) > LARGEST_PIXELS or upright.size != picture.size:
                upright.thumbnail((LARGEST_PIXELS, LARGEST_PIXELS))
                file = io.BytesIO()
                upright.save(file, format="PNG" if ending == "png" else "JPEG")
                data = file.getvalue()
            return data, upright.width / upright.height, ending
    # Whatever a decoder says about hostile bytes: the card is printed without the picture.
    except Exception:
        return None
