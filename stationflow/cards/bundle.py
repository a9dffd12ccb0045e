"""Cards as one file for each station, with an index, in a ZIP archive."""

import io
import re
import unicodedata
import zipfile
from collections.abc import Callable, Sequence
from html import escape

from stationflow.cards.card import Card
from stationflow.cards.said import mark_of_all
from stationflow.errors import CardError

FIRST_TIME = (1980, 1, 1, 0, 0, 0)
"""The time written into the archive, so that the same cards give the same bytes."""
LONGEST_NAME = 40
RESERVED = re.compile(r"^(?:con|prn|aux|nul|com\d|lpt\d)$")
"""Names some systems keep for themselves."""


def cards_zip(cards: Sequence[Card], ending: str, made: Callable[[Card], bytes]) -> bytes:
    """Return an archive with a file for each station and `index.html` that lists them.

    `made` makes the file of one card, whose name has the ending "pdf" or "html".

    Raises
    ------
    CardError
        If there are no cards.
    """
    if not cards:
        raise CardError("There are no cards to write.", "Balance the line first.")
    file = io.BytesIO()
    names = [f"{_start(card)}-station-{card.station:03d}.{ending}" for card in cards]
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(_entry("index.html"), _index(cards, names))
        for card, name in zip(cards, names, strict=True):
            archive.writestr(_entry(name), made(card))
    return file.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    """Return an entry of the archive with a fixed time."""
    entry = zipfile.ZipInfo(name, FIRST_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


def _start(card: Card) -> str:
    """Return how the names of the files begin: product and line."""
    return f"{safe_name(card.product_code)}-{safe_name(card.line)}"


def safe_name(text: str) -> str:
    """Return text as a part of a file name that every system takes.

    >>> safe_name("../Größe 4/A:1")
    'Grosse-4-A-1'
    """
    plain = unicodedata.normalize("NFKD", text.replace("ß", "ss")).encode("ascii", "ignore")
    name = re.sub(r"[^A-Za-z0-9_]+", "-", plain.decode()).strip("-")[:LONGEST_NAME].strip("-")
    return f"{name}-1" if RESERVED.match(name.lower()) else name or "cards"


def _index(cards: Sequence[Card], names: Sequence[str]) -> bytes:
    """Return the list of the stations with links to their files."""
    first = cards[0]
    mark = first.say(mark_of_all(cards))
    title = f"{first.say('Station cards')} {first.product_code} {first.line_label}"
    rows = "".join(
        f'<tr><td><a href="{name}">{escape(c.say("Station {station}", station=c.station))}</a></td>'
        f'<td dir="auto">{escape("; ".join(task.name for task in c.tasks))}</td>'
        f"<td>{c.work} {escape(c.unit)}</td></tr>"
        for c, name in zip(cards, names, strict=True)
    )
    heads = "".join(f"<th>{escape(first.say(head))}</th>" for head in ("Overview", "Task", "Work"))
    page = (
        f'<!DOCTYPE html>\n<html lang="{escape(first.language)}" '
        f'dir="{"rtl" if first.to_left else "ltr"}">\n<head><meta charset="utf-8">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        'style-src \'unsafe-inline\'"><meta name="viewport" content="width=device-width">'
        f"<title>{escape(title)}</title><style>body{{font:18px/1.4 sans-serif;margin:1.5rem;"
        "color:#111111;background:#ffffff}table{border-collapse:collapse}th,td{padding:.5rem .9rem;"
        "border-bottom:1px solid #8a8a8a;text-align:start;vertical-align:top}td:last-child"
        "{white-space:nowrap}a{color:inherit;font-weight:600}</style></head>\n"
        f'<body><h1 dir="auto">{escape(first.product_name or first.product_code)}</h1>'
        f"<p>{escape(title)}, {escape(first.version_label)} {escape(mark)}</p>"
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></body>\n</html>\n"
    )
    return page.encode("utf-8", "replace")
