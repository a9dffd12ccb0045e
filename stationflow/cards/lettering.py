"""How much room text takes on a card: widths from the font, lines by filling each in turn.

All widths are in em, so that one number serves every size of text. Cards are planned with
these numbers before they are set; nothing is measured while they are set, which took
most of the time.
"""

import re
import unicodedata
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

from stationflow.cards.fonts import FontFile, font_of, own_characters, own_font

EM = 1000
"""Size at which the font is measured, in pixels: a width in pixels is a width in em / 1000."""
MARGIN = 1.01
"""Widths are taken 1 % larger than measured: a line must not break where none was foretold."""
TINY = 1e-6
"""A word as wide as its column fits, whatever the order in which widths were added."""
FOREIGN = 1.05
"""Width in em of a character that no font has."""
BREAK = "\N{ZERO WIDTH SPACE}"
# East Asian characters stand without spaces between words; a line may end after each.
TOKEN = re.compile(
    r"[\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff\uff00-\uffef]|[^\s\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff\uff00-\uffef]+"
)
# Scripts whose letters join or stack: Arabic, Syriac, those of India, Thai, Khmer.
# Where a text may be cut: behind the end of a sentence, in Latin, Arabic and Chinese writing.
SENTENCE = re.compile(r"(?<=[.!?…؟۔])\s+|(?<=[。！？])\s*|\n+")  # noqa: RUF001
JOINING = re.compile(r"[\u0600-\u07ff\u08a0-\u0fff\u1780-\u17ff\ufb50-\ufdff\ufe70-\ufeff]+")
PT_MM = 25.4 / 72


@cache
def _font(bold: bool) -> Any:
    """Return the font at measuring size; letters are measured one by one, without kerning."""
    from PIL import ImageFont

    font = ImageFont.truetype(str(own_font()), EM, layout_engine=ImageFont.Layout.BASIC)
    axes: Any = font.get_variation_axes()
    # The axis of weight reaches beyond 500, that of width does not.
    chosen = [(700 if bold else 400) if a["maximum"] > 500 else a["default"] for a in axes]
    font.set_variation_by_axes(chosen)
    return font


@cache
def _other_font(font: FontFile, is_shaped: bool) -> Any:
    """Return another font at measuring size; letters join where `is_shaped`. None: unreadable."""
    from PIL import ImageFont

    layout = ImageFont.Layout.RAQM if is_shaped else ImageFont.Layout.BASIC
    try:
        return ImageFont.truetype(font.path, EM, index=font.index, layout_engine=layout)
    except OSError:
        return None


@cache
def _letter(character: str, bold: bool) -> float:
    """Return the width of one character in em."""
    if unicodedata.category(character) == "Cf":  # invisible: breaks, marks of direction
        return 0.0
    if ord(character) in own_characters():
        return float(_font(bold).getlength(character)) / EM * MARGIN
    font = font_of(character, bold)
    measured = _other_font(font, False) if font else None
    return float(measured.getlength(character)) / EM * MARGIN if measured else FOREIGN


@lru_cache(maxsize=100_000)
def width_of(text: str, bold: bool = False) -> float:
    """Return the width of text on one line, in em."""
    if text.isascii() or not JOINING.search(text):
        return sum(_letter(c, bold) for c in text)
    joined = sum(_joined(run[0], bold) for run in JOINING.finditer(text))
    return joined + sum(_letter(c, bold) for c in JOINING.sub("", text))


@lru_cache(maxsize=10_000)
def _joined(word: str, bold: bool) -> float:
    """Return the width in em of letters that change their form beside each other.

    Where the shaping library is missing the letters count as standing alone, which is wider.
    """
    from PIL import features

    font = font_of(word[0], bold)
    measured = _other_font(font, True) if font and features.check("raqm") else None
    if measured is None:
        return sum(_letter(c, bold) for c in word)
    return float(measured.getlength(word)) / EM * MARGIN


@lru_cache(maxsize=100_000)
def _words(paragraph: str, bold: bool) -> tuple[tuple[float, float], ...]:
    """Return for each word of a paragraph the space before it and its width, in em."""
    space = _letter(" ", bold)
    found, end = [], 0
    for word in TOKEN.finditer(paragraph):
        found.append((space if word.start() > end else 0.0, width_of(word[0], bold)))
        end = word.end()
    return tuple(found)


def line_count(text: str, width: float, bold: bool = False) -> int:
    """Return how many lines text fills in a column of so many em.

    Each line takes as many words as it can. A word wider than the column is broken
    anywhere; each of its lines then holds all but the last character that fits.
    """
    if not text:
        return 0
    width += TINY
    if "\n" not in text and width_of(text, bold) <= width:
        return 1
    lines = 0
    for paragraph in text.split("\n"):
        lines += 1
        filled = 0.0
        for space, word in _words(paragraph, bold):
            if filled and filled + space + word <= width:
                filled += space + word
                continue
            lines += 1 if filled else 0
            filled = word
            if word > width:
                room = max(width - 1, 0.5)
                more = int(word / room)
                lines += more
                filled = word - more * room
    return lines


@lru_cache(maxsize=100_000)
def widest_word(text: str, bold: bool = False) -> float:
    """Return the width of the widest word, in em."""
    return max((word for p in text.split("\n") for _, word in _words(p, bold)), default=0.0)


def breakable(text: str, width: float, bold: bool = False) -> str:
    """Return text whose words may be broken anywhere where they are wider than the column."""
    if widest_word(text, bold) <= width + TINY:
        return text
    return TOKEN.sub(
        lambda word: BREAK.join(word[0]) if width_of(word[0], bold) > width else word[0], text
    )


def shortened(text: str, width: float, bold: bool = False) -> str:
    """Return the beginning of text that fits one line of so many em, with dots where it was cut."""
    text = " ".join(text.split())
    if width_of(text, bold) <= width:
        return text
    left = width - _letter("…", bold)
    kept = []
    for character in text:
        left -= _letter(character, bold)
        if left < 0:
            break
        kept.append(character)
    return "".join(kept).rstrip() + "…"


def in_pieces(text: str, width: float, most: int, bold: bool = False) -> list[str]:
    """Cut text into pieces of at most so many lines, behind sentences.

    Only a sentence longer than that is cut between words, where there are any.
    """
    # Two lines that follow each other are together wider than the column: short text is clear.
    is_short = "\n" not in text and 2 * width_of(text, bold) <= (most - 1) * width
    if is_short and widest_word(text, bold) <= width:
        return [text]
    if line_count(text, width, bold) <= most:
        return [text]
    ends = [0, *(end.end() for end in SENTENCE.finditer(text)), len(text)]
    pieces = [""]
    for start, end in pairwise(ends):
        sentence = text[start:end]
        is_long = line_count(sentence.strip(), width, bold) > most
        words = re.findall(r"\s*\S+", _cut_words(sentence, width, bold)) if is_long else [sentence]
        for word in words:
            if line_count((pieces[-1] + word).strip(), width, bold) > most:
                pieces.append("")
            pieces[-1] += word
    return [piece.strip() for piece in pieces if piece.strip()]


def _cut_words(text: str, width: float, bold: bool) -> str:
    """Cut words wider than the column into words of one line."""

    def cut(word: re.Match[str]) -> str:
        if width_of(word[0], bold) <= width:
            return word[0]
        size = max(1, int(len(word[0]) * (width - 1) / width_of(word[0], bold)))
        return " ".join(word[0][i : i + size] for i in range(0, len(word[0]), size))

    return TOKEN.sub(cut, text)


LINE = 0.95
"""Height of a line of text in em, and the room between two lines; the template sets the same."""
LEADING = 0.28


def lines_in(height: float, size: float) -> int:
    """Return how many lines of a size in points stand in so many mm, at least one."""
    return max(1, int((height / (size * PT_MM) + LEADING) / (LINE + LEADING)))


def text_height(lines: int, size: float) -> float:
    """Return the height of so many lines in mm, for text of a size in points."""
    return (lines * LINE + (lines - 1) * LEADING) * size * PT_MM if lines > 0 else 0.0
