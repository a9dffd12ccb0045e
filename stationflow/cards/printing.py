"""Cards on paper: PDF, and the same pages as pictures."""

import json
import math
import shutil
import tempfile
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from stationflow.cards.card import Card
from stationflow.cards.fonts import families_of, typst_fonts
from stationflow.cards.marks import TO_LEFT
from stationflow.cards.paper import Paper, Sheet, sheet_for, time_of_print
from stationflow.cards.picture_files import readable_picture
from stationflow.cards.printed_data import card_data
from stationflow.errors import CardError

HERE = Path(__file__).parent
SAMPLE = 8
"""Cards of a line whose texts are measured to choose one size for all."""
MANY = 20
"""Cards of a print from which on its memory is given back at once."""


def cards_pdf(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    created: date | None = None,
    large_print: bool = False,
    stations: Collection[int] | None = None,
) -> bytes:
    """Return the cards as one PDF.

    Parameters
    ----------
    pictures
        Bytes of the pictures by name. One that cannot be read is left out.
    created
        Date written into the PDF; the same cards and date give the same bytes.
        None: 1970-01-01.
    large_print
        No text smaller than 16 points: the same content on more pages.
    stations
        Numbers of the stations to print; None: all. Text is as large as on all cards together.

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    sheet = sheet_for(paper, portrait, large_print)
    return _set_cards(cards, stations, pictures, sheet, {"format": "pdf"}, created)[0]


def cards_png(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    ppi: float = 110,
    pages: Collection[int] | None = None,
    large_print: bool = False,
    stations: Collection[int] | None = None,
) -> list[bytes]:
    """Return pages of the same document as PNG pictures; numbers of pages count from 1.

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    sheet = sheet_for(paper, portrait, large_print)
    shown = _set_cards(cards, stations, pictures, sheet, {"format": "png", "ppi": ppi})
    return [png for n, png in enumerate(shown, start=1) if pages is None or n in pages]


def _set_cards(
    cards: Sequence[Card],
    stations: Collection[int] | None,
    pictures: Mapping[str, bytes],
    sheet: Sheet,
    form: dict[str, Any],
    created: date | None = None,
) -> list[bytes]:
    """Set the cards in a folder of their own and return the files made."""
    printed = [card for card in cards if stations is None or card.station in stations]
    if not printed:
        raise CardError("There are no cards to print.", "Balance the line first.")
    with tempfile.TemporaryDirectory(prefix="cards-") as folder:
        root = Path(folder)
        document = _filled(root, cards, printed, pictures)
        _write(root / "data.json", document | _of_sheet(sheet))
        return _compiled(root, form, created, len(printed) > MANY)


def page_counts(
    cards: Sequence[Card], pictures: Mapping[str, bytes], sheets: Iterable[Sheet]
) -> Iterator[list[int]]:
    """Yield for each way to set a sheet how many pages each card takes; nothing is printed.

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="cards-") as folder:
        root = Path(folder)
        document = _filled(root, cards, cards, pictures)
        for sheet in sheets:
            _write(root / "data.json", document | _of_sheet(sheet) | {"counted": True})
            try:
                found = typst.query(
                    str(root / "card.typ"),
                    "<pages>",
                    field="value",
                    root=str(root),
                    font_paths=typst_fonts(),
                )
            except typst.TypstError as problem:
                raise CardError(f"The cards could not be set: {problem}") from problem
            yield json.loads(found)


def _filled(
    root: Path, cards: Sequence[Card], printed: Sequence[Card], pictures: Mapping[str, bytes]
) -> dict[str, Any]:
    """Put the template and what it sets into a folder; return what all cards share."""
    shutil.copytree(HERE / "template", root, dirs_exist_ok=True)
    shutil.copytree(HERE / "symbols", root / "symbols")
    sample = cards[:: math.ceil(len(cards) / SAMPLE)]
    letters = _write(root / "sample.json", [card_data(card) for card in sample])
    letters |= _write(root / "cards.json", [card_data(card) for card in printed])
    return {
        **_document(cards[0]),
        "fonts": families_of(letters),
        "bidi": cards[0].to_left or bool(TO_LEFT.search("".join(letters))),
        "pictures": dict(_placed(cards, pictures, root)),
    }


def _write(path: Path, content: Any) -> set[str]:
    """Write data for the template; return the characters in use."""
    text = json.dumps(content, ensure_ascii=False)
    path.write_bytes(text.encode("utf-8", "replace"))
    return set(text)


def _compiled(root: Path, form: dict[str, Any], created: date | None, is_many: bool) -> list[bytes]:
    """Set what lies in the folder, dated midnight of a day."""
    import typst

    try:
        made, _ = typst.compile_with_warnings(
            str(root / "card.typ"),
            root=str(root),
            font_paths=typst_fonts(),
            timestamp=int(time_of_print(created).timestamp()),
            **form,
        )
    except typst.TypstError as problem:
        raise CardError(f"The cards could not be set: {problem}") from problem
    if is_many:
        # What was measured is kept for the ten prints that follow: 3 MB for a card of four tasks.
        for _ in range(10):
            typst.compile(b"", font_paths=typst_fonts())
    return list(made) if isinstance(made, list) else [made]


def _of_sheet(sheet: Sheet) -> dict[str, Any]:
    """Return how the template sets a sheet."""
    return {
        "width_mm": sheet.width,
        "height_mm": sheet.height,
        "scale": sheet.scale,
        "edge": sheet.edge,
        "least": sheet.least,
        "sizes": sheet.sizes,
    }


def _document(first: Card) -> dict[str, Any]:
    """Return what all cards share."""
    return {
        "counted": False,
        "title": f"Station cards {first.product_code}, line {first.line}, {first.version_label}",
        "author": first.prepared_by,
        "keywords": [first.product_code, first.line],
        "language": first.language,
        "to_left": first.to_left,
        "page": first.say("Page {page} of {pages}"),
    }


def _placed(
    cards: Iterable[Card], pictures: Mapping[str, bytes], root: Path
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Put the pictures in use into the folder, under names of our own; leave out broken ones."""
    named = dict.fromkeys(p.picture for card in cards for task in card.tasks for p in task.pictures)
    for place, name in enumerate(named):
        read = readable_picture(pictures[name]) if name in pictures else None
        if read is not None:
            data, ratio, ending = read
            file = f"picture-{place}.{ending}"
            (root / file).write_bytes(data)
            yield name, {"file": file, "ratio": ratio}
