"""Cards on paper: PDF, and the same pages as pictures."""

import json
import re
import shutil
import tempfile
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

from stationflow.cards import card_frame, lettering, safety_strip, supply_band
from stationflow.cards.card import Card
from stationflow.cards.code import code_svg
from stationflow.cards.fonts import families_of, typst_fonts
from stationflow.cards.layout import card_layout
from stationflow.cards.marks import TO_LEFT, with_marks
from stationflow.cards.paper import Paper
from stationflow.cards.picture_files import readable_picture
from stationflow.cards.sheet import (
    FOOTER,
    GAP,
    HEADER,
    HEADER_AGAIN,
    MARK_BAND,
    Sheet,
    sheet_for,
)
from stationflow.errors import CardError

HERE = Path(__file__).parent
GROWTHS = (1.0, 1.05, 1.12, 1.25)
"""Factors of the foretold heights, tried in turn when the cards take more pages than planned."""
PDF_PAGES = re.compile(rb"/Type\s*/Pages\b[^>]*?/Count (\d+)|/Count (\d+)[^>]*?/Type\s*/Pages\b")


def cards_pdf(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    created: date | None = None,
    large_print: bool = False,
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

    Raises
    ------
    CardError
        If the cards could not be set.
    """
    form = {"format": "pdf"}
    pages = _set_cards(cards, pictures, paper, portrait, form, created, large_print)
    return pages[0]


def cards_png(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    ppi: float = 110,
    pages: Collection[int] | None = None,
    large_print: bool = False,
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
    form = {"format": "png", "ppi": ppi}
    shown = _set_cards(cards, pictures, paper, portrait, form, None, large_print)
    return [png for n, png in enumerate(shown, start=1) if pages is None or n in pages]


def _set_cards(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    paper: Paper,
    portrait: bool,
    form: dict[str, Any],
    created: date | None,
    large_print: bool,
) -> list[bytes]:
    """Set the cards in a folder of their own and return the files made."""
    if not cards:
        raise CardError("There are no cards to print.", "Balance the line first.")
    with tempfile.TemporaryDirectory(prefix="cards-") as folder:
        root = Path(folder)
        shutil.copytree(HERE / "template", root, dirs_exist_ok=True)
        shutil.copytree(HERE / "symbols", root / "symbols")
        placed = dict(_placed(cards, pictures, root))
        ratios = {name: file["ratio"] for name, file in placed.items()}
        sheet = sheet_for(paper, portrait, ratios, large_print=large_print)
        data = _document(cards[0], paper.size_mm(portrait=portrait), sheet)
        fonts: tuple[str, ...] = ()
        for growth in GROWTHS:
            planned = [_card_data(card, sheet, growth) for card in cards]
            planned = [with_marks(card) for card in planned] if cards[0].to_left else planned
            letters = _write(root / "cards.json", planned)
            if fonts != (fonts := families_of(letters)) or growth == GROWTHS[0]:
                bidi = cards[0].to_left or bool(TO_LEFT.search("".join(letters)))
                _write(
                    root / "data.json", {**data, "fonts": fonts, "bidi": bidi, "pictures": placed}
                )
            made = _compiled(root, form, created)
            if _page_count(made) == sum(len(card["pages"]) for card in planned):
                break
    return made


def _write(path: Path, content: Any) -> set[str]:
    """Write data for the template; return the characters in use."""
    text = json.dumps(content, ensure_ascii=False)
    path.write_bytes(text.encode("utf-8", "replace"))
    return set(text)


def _compiled(root: Path, form: dict[str, Any], created: date | None) -> list[bytes]:
    """Set what lies in the folder."""
    import typst

    try:
        made, _ = typst.compile_with_warnings(
            str(root / "card.typ"),
            root=str(root),
            font_paths=typst_fonts(),
            timestamp=_timestamp(created),
            **form,
        )
    except typst.TypstError as problem:
        raise CardError(f"The cards could not be set: {problem}") from problem
    return list(made) if isinstance(made, list) else [made]


def _page_count(made: list[bytes]) -> int:
    """Return how many pages were set; a PDF tells in the root of its tree of pages."""
    if not made[0].startswith(b"%PDF"):
        return len(made)
    counts = [int(one or other) for one, other in PDF_PAGES.findall(made[0])]
    return max(counts, default=0)


def _timestamp(created: date | None) -> int:
    """Return midnight of a date in seconds since 1970."""
    if created is None:
        return 0
    return int(datetime.combine(created, time(), UTC).timestamp())


def _document(first: Card, size: tuple[float, float], sheet: Sheet) -> dict[str, Any]:
    """Return what the template reads beside the cards, and the lengths both sides count with."""
    return {
        "width_mm": size[0],
        "height_mm": size[1],
        "scale": sheet.scale,
        "title": f"Station cards {first.product_code}, line {first.line}, {first.version_label}",
        "author": first.prepared_by,
        "keywords": [first.product_code, first.line],
        "language": first.language,
        "to_left": first.to_left,
        "page": first.say("Page {page} of {pages}"),
        "badge_size": sheet.type(8.5),
        "again_size": sheet.type(8.0),
        "again_badge": card_frame.again_badge(sheet),
        "fact_name": sheet.type(card_frame.FACT_NAME),
        "fact_again": sheet.type(card_frame.FACT_AGAIN),
        "sign": card_frame.sign_size(sheet),
        "worn": 1.0 if sheet.large else safety_strip.WORD,
        "line": lettering.LINE,
        "leading": lettering.LEADING,
        "edge": sheet.edge,
        "header": HEADER,
        "header_again": HEADER_AGAIN,
        "band": MARK_BAND,
        "footer": FOOTER,
        "gap": GAP,
        "small": sheet.small,
        "symbol": safety_strip.SYMBOL,
        "symbol_gap": safety_strip.SYMBOL_GAP,
        "strip_pad": safety_strip.STRIP_PAD,
        "strip_column_gap": safety_strip.COLUMN_GAP,
        "strip_row_gap": safety_strip.ROW_GAP,
        "defer_gap": safety_strip.DEFER_GAP,
        "defer_size": safety_strip.SMALLEST,
        "rule_gap": safety_strip.RULE_GAP,
        "band_pad": supply_band.BAND_PAD,
        "remark_size": card_frame.REMARK,
        "remark_pad": card_frame.REMARK_PAD,
        "bar": card_frame.BAR,
        "bar_above": card_frame.BAR_ABOVE,
        "bar_label": card_frame.BAR_LABEL,
    }


def _card_data(card: Card, sheet: Sheet, growth: float) -> dict[str, Any]:
    """Return a card as the template sets it, with its code drawn."""
    return {
        **card_layout(card, sheet, growth),
        "code_svg": code_svg(card.code.content),
        "code_content": card.code.content,
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
