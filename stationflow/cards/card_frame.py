"""What stands around the tasks: header, remarks, time bar, footer."""

from typing import Any

from stationflow.cards.card import Card
from stationflow.cards.lettering import (
    PT_MM,
    breakable,
    in_pieces,
    line_count,
    shortened,
    text_height,
    width_of,
)
from stationflow.cards.sheet import HEADER, QR, Piece, Sheet, em_of

OUT_OF_DATE = "OUT OF DATE"
WARNING = "Do not work by this card. Ask for the current version."
BADGE = 34.0
NAME_SIZES = (18.0, 16.0, 14.0, 12.0)
FACT_NAME, FACT_VALUE = 7.5, 11.5
FACT_GAP = 5.5
TAG = 11.0
CODE_WORDS = 6.5
SIGN = 6.5
FACT_AGAIN = 7.5
REMARK = 9.5
REMARK_PAD = 1.2
LONG_REMARK = 10
BAR_LABEL = 9.0
BAR = 7.5
"""Height of the time bar in mm; its labels stand above."""
BAR_ABOVE = 1.8
MIN_ROOM = 0.6


def has_band(card: Card) -> bool:
    """Return whether the mark of a card is a warning that needs a band of its own."""
    return card.mark == OUT_OF_DATE


def header_data(card: Card, sheet: Sheet) -> dict[str, Any]:
    """Return the words of the header, each short enough for its place."""
    words = [shortened(w, em_of(30.0, CODE_WORDS)) for w in card.code.words]
    beside_code = sheet.wide and not sheet.large  # a large print has them in the footer
    said = max((width_of(w) for w in words), default=0.0) * CODE_WORDS * PT_MM if beside_code else 0
    right = QR + (said + 2 if said else 0)
    middle = sheet.width - BADGE - right - 10
    tags = _tags(card)
    beside = sum(width_of(tag, True) * TAG * PT_MM + 7 for tag in tags)
    room = max(middle - beside, 30)
    name = card.product_name or card.product_code
    size = next((s for s in NAME_SIZES if width_of(name, True) <= em_of(room, s)), NAME_SIZES[-1])
    facts = _facts(card)
    wide = [_fact_width(fact, sheet) for fact in facts]
    needed = sum(wide) + FACT_GAP * (len(facts) - 1)
    rows = _fact_rows(card, sheet) if sheet.large else []
    tags_again = sum(width_of(t, True) * TAG * PT_MM + 9 for t in tags)
    continued = card.say("continued")
    again = (
        sheet.width - again_badge(sheet) - 9 - tags_again - width_of(continued, True) * 10 * PT_MM
    )
    line = "  ·  ".join(f"{n} {v}" for n, v in facts)
    return {
        "name": shortened(name, em_of(room, size), True),
        "name_size": size,
        "code": shortened(f"{card.product_code}   {card.line_label}", em_of(middle, 10.5)),
        "again": shortened(
            f"{name}  ·  {card.product_code}  ·  {card.line_label}", em_of(again, 10)
        ),
        "again_facts": shortened(line, em_of(again, sheet.type(FACT_AGAIN))),
        "facts": [] if rows else [{"name": n, "value": v} for n, v in facts],
        "fact_rows": [[{"name": n, "value": v} for n, v in row] for row in rows],
        "fact_row": _fact_row(sheet),
        "fact_scale": min(1.0, middle / needed) if needed else 1.0,
        "tags": tags,
        "band": card.say(card.mark) if has_band(card) else "",
        "warning": card.say(WARNING) if has_band(card) else "",
        "continued": continued,
        "station_word": card.say("STATION"),
        "right": right,
        "code_words": words if beside_code else [],
        "station": str(card.station),
        "of": card.say("of {stations}", stations=card.stations),
    }


def header_height(card: Card, sheet: Sheet) -> float:
    """Return the height of the first page's header in mm; a large print has its facts below."""
    return HEADER + (len(_fact_rows(card, sheet)) * _fact_row(sheet) if sheet.large else 0.0)


def again_badge(sheet: Sheet) -> float:
    """Return the width of the station's number on the pages that follow the first, in mm."""
    return 44.0 if sheet.large else BADGE


def _facts(card: Card) -> list[tuple[str, str]]:
    """Return names and values of the header."""
    facts = (*((f.name, f.value) for f in card.facts), (card.say("Date"), card.dated))
    return [(name, shortened(value, 30)) for name, value in facts if value]


def _fact_width(fact: tuple[str, str], sheet: Sheet) -> float:
    """Return the width of a fact in mm."""
    name, value = fact
    return max(width_of(name) * sheet.type(FACT_NAME), width_of(value, True) * FACT_VALUE) * PT_MM


def _fact_row(sheet: Sheet) -> float:
    """Return the height of a row of facts in mm."""
    return text_height(1, sheet.type(FACT_NAME)) + text_height(1, FACT_VALUE) + 2.2


def _fact_rows(card: Card, sheet: Sheet) -> list[list[tuple[str, str]]]:
    """Return the facts in as many rows as they need."""
    rows: list[list[tuple[str, str]]] = []
    left = 0.0
    for fact in _facts(card):
        needed = _fact_width(fact, sheet) + FACT_GAP
        if needed > left + FACT_GAP:
            rows.append([])
            left = sheet.width
        rows[-1].append(fact)
        left -= needed
    return rows


def _tags(card: Card) -> list[str]:
    """Return what stands framed in the header."""
    tags = []
    if card.operators > 1:
        tags.append(card.say("{count} operators work here", count=card.operators))
    if card.copies > 1:
        tags.append(card.say("{count} stations side by side", count=card.copies))
    if card.mark and not has_band(card):
        tags.append(shortened(card.say(card.mark), 16, True))
    return tags


def footer_data(card: Card, sheet: Sheet) -> dict[str, Any]:
    """Return the words of the footer."""
    third = sheet.width / 3
    words = "  ·  ".join(card.code.words)
    return {
        "prepared": shortened(card.prepared_by, em_of(third * 0.6 - 3, 9)),
        "approved": shortened(card.approved_by, em_of(third * 0.6 - 3, 9)),
        "words": "" if sheet.large else shortened(words, em_of(third - 4, 7)),
        "prepared_by": shortened(card.say("Prepared by"), em_of(third * 0.6 - 3, sign_size(sheet))),
        "approved_by": shortened(card.say("Approved by"), em_of(third * 0.6 - 3, sign_size(sheet))),
        "signature": card.say("Date" if sheet.large else "Date, signature"),
    }


def sign_size(sheet: Sheet) -> float:
    """Return the size of the words of the footer in points."""
    return sheet.type(SIGN)


def remark_pieces(card: Card, sheet: Sheet) -> tuple[Piece, ...]:
    """Return what the planner has to know, a piece for each remark."""
    room = em_of(sheet.width - 4, REMARK)
    pieces = []
    for remark in card.remarks:
        for text in in_pieces(card.say("Note: {remark}", remark=remark), room, LONG_REMARK):
            height = text_height(line_count(text, room), REMARK) + REMARK_PAD
            pieces.append(Piece(kind="remark", height=height, data={"text": breakable(text, room)}))
    return tuple(pieces)


def bar_piece(card: Card, sheet: Sheet) -> Piece:
    """Return the time bar with the labels that have room."""
    bar = card.bar
    ends = [float(s.end) for s in bar.segments]
    longest = max([float(bar.limit), *ends, 0.001])
    em = BAR_LABEL * PT_MM
    segments = []
    for place, segment in enumerate(bar.segments):
        start, width = float(segment.start), float(segment.end - segment.start)
        room = sheet.width * width / longest / em - MIN_ROOM
        full = width_of(f"{segment.number}", True) + 0.5 + width_of(segment.time)
        is_full = full <= room
        is_short = width_of(f"{segment.number}", True) <= room + MIN_ROOM / 2
        segments.append(
            {
                "x": sheet.width * start / longest,
                "width": sheet.width * width / longest,
                "number": str(segment.number) if is_full or is_short else "",
                "time": segment.time if is_full else "",
                "tinted": place % 2 == 0,
                "over": segment.start >= bar.limit,
            }
        )
    limit = sheet.width * float(bar.limit) / longest
    load = sheet.width * (ends[-1] if ends else 0.0) / longest
    said = card.say("Work {work}, {rest}", work=f"{card.work} {card.unit}", rest=bar.rest)
    label = width_of(bar.limit_label, True) * em
    right = min(max(limit, width_of(said, True) * em + 5 + label), sheet.width)
    fits = width_of(bar.rest) * em + 2 < limit - load
    data = {
        "segments": segments,
        "limit": limit,
        "load": load,
        "label": bar.limit_label,
        "label_right": right,
        "said": said,
        "rest": bar.rest if fits else "",
        "is_over": bar.is_over,
    }
    height = BAR_ABOVE + text_height(1, BAR_LABEL) + 1.2 + BAR + 1.0
    return Piece(kind="bar", height=height, data=data)
