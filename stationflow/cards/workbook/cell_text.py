"""How much room text takes in cells of a workbook, roughly: rows have to be told their height."""

import re
import unicodedata
from itertools import pairwise

# Where a text may be cut: behind the end of a sentence, in Latin, Arabic and Chinese writing.
SENTENCE = re.compile(r"(?<=[.!?…؟۔])\s+|(?<=[。！？])\s*|\n+")  # noqa: RUF001
LETTER, WIDE_LETTER = 0.62, 1.05
"""Width in em of a bold letter on average, and of an East Asian one."""


def width_of(text: str) -> float:
    """Return roughly how wide bold text is on one line, in em."""
    if text.isascii():
        return len(text) * LETTER
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) * LETTER + wide * (WIDE_LETTER - LETTER)


def line_count(text: str, room: float) -> int:
    """Return how many lines text fills in so many em; a wider word is broken."""
    lines = 0
    for paragraph in text.split("\n"):
        filled = room
        lines += not paragraph
        for word in re.findall(r"\S+\s*", paragraph):
            width = width_of(word.rstrip())
            if filled + width > room:
                lines += 1
                filled = 0.0
            more = int(width / room)
            lines += more
            filled += width_of(word) - more * room
    return lines


def in_pieces(text: str, room: float, most: int) -> list[str]:
    """Cut text into pieces of at most so many lines: behind sentences, else between words."""
    if line_count(text, room) <= most:
        return [text]
    size = int(room * most / LETTER / 2)
    ends = [0, *(end.end() for end in SENTENCE.finditer(text)), len(text)]
    pieces = [""]
    for start, end in pairwise(ends):
        parts = [text[start:end]]
        if line_count(parts[0], room) > most:
            parts = re.findall(rf"\s*\S{{1,{size}}}", parts[0])
        for part in parts:
            if line_count((pieces[-1] + part).strip(), room) > most:
                pieces.append("")
            pieces[-1] += part
    return [piece.strip() for piece in pieces if piece.strip()]
