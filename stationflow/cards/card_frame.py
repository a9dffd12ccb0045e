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
from stationflow.cards.sheet import QR, Piece, Sheet, em_of

OUT_OF_DATE = "OUT OF DATE"
BADGE = 34.0
NAME_SIZES = (18.0, 16.0, 14.0, 12.0)
FACT_NAME, FACT_VALUE = 7.5, 11.5
FACT_GAP = 5.5
TAG = 11.0
CODE_WORDS = 6.5
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
    said = max((width_of(w) for w in words), default=0.0) * CODE_WORDS * PT_MM if sheet.wide else 0
    right = QR + (said + 2 if said else 0)
    middle = sheet.width - BADGE - right - 10
    tags = _tags(card)
    beside = sum(width_of(tag, True) * TAG * PT_MM + 7 for tag in tags)
    room = max(middle - beside, 30)
    name = card.product_name or card.product_code
    size = next((s for s in NAME_SIZES if width_of(name, True) <= em_of(room, s)), NAME_SIZES[-1])
    facts = [f for f in (*((f.name, f.value) for f in card.facts), ("Date", card.dated)) if f[1]]
    facts = [(n, shortened(v, 30)) for n, v in facts]
    wide = [max(width_of(n) * FACT_NAME, width_of(v, True) * FACT_VALUE) * PT_MM for n, v in facts]
    needed = sum(wide) + FACT_GAP * (len(facts) - 1)
    again = sheet.width - 95
    return {
        "name": shortened(name, em_of(room, size), True),
        "name_size": size,
        "code": shortened(f"{card.product_code}   {card.line_label}", em_of(middle, 10.5)),
        "again": shortened(
            f"{name}  ·  {card.product_code}  ·  {card.line_label}", em_of(again, 10)
        ),
        "facts": [{"name": n, "value": v} for n, v in facts],
        "fact_scale": min(1.0, middle / needed) if needed else 1.0,
        "tags": tags,
        "band": card.mark if has_band(card) else "",
        "right": right,
        "code_words": words,
        "station": str(card.station),
        "stations": str(card.stations),
    }


def _tags(card: Card) -> list[str]:
    """Return what stands framed in the header."""
    tags = []
    if card.operators > 1:
        tags.append(f"{card.operators} operators work here")
    if card.copies > 1:
        tags.append(f"{card.copies} stations side by side")
    if card.mark and not has_band(card):
        tags.append(shortened(card.mark, 16, True))
    return tags


def footer_data(card: Card, sheet: Sheet) -> dict[str, Any]:
    """Return the words of the footer."""
    third = sheet.width / 3
    return {
        "prepared": shortened(card.prepared_by, em_of(third * 0.6 - 3, 9)),
        "approved": shortened(card.approved_by, em_of(third * 0.6 - 3, 9)),
        "words": shortened("  ·  ".join(card.code.words), em_of(third - 4, 7)),
    }


def remark_pieces(card: Card, sheet: Sheet) -> tuple[Piece, ...]:
    """Return what the planner has to know, a piece for each remark."""
    room = em_of(sheet.width - 4, REMARK)
    pieces = []
    for remark in card.remarks:
        for text in in_pieces(f"Note: {remark}", room, LONG_REMARK):
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
    said = f"Work {card.work} {card.unit}, {bar.rest}"
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
