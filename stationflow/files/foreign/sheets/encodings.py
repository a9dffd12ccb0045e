"""In which encoding a text table was saved: a guess, shown so that it can be corrected.

Short tables defeat statistics over bytes. What tells here is whether the words make
sense: letters of one script side by side, and headings that the trade knows.
"""

import codecs
import re
from itertools import pairwise

from stationflow.files.foreign.heading_words import ALL_WORDS, SIGNS

ENCODINGS = (
    "utf-8", "cp1252", "cp1250", "cp1251", "gb18030", "shift_jis", "mac_roman", "utf-16",
    "iso8859_2", "iso8859_15", "koi8_r", "cp1253", "cp1254", "cp437", "cp850", "cp852", "cp866",
    "big5", "euc_kr", "euc_jp",
)  # fmt: skip
"""Encodings that may be chosen."""

GUESSED = ("cp1252", "cp1250", "cp1251", "mac_roman", "shift_jis", "gb18030")
MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
JUDGED = 20_000  # bytes that are looked at

WESTERN = frozenset("äöüßéèêëàâçùûôîïœñáíóúåøæãõìòÄÖÜÉÈÀÇÑÅØÆÓÁÍÚ")
CENTRAL = frozenset("ąćęłńóśźżčďěňřšťůžýáíéúőűäöüßĄĆĘŁŃÓŚŹŻČĎŘŠŤŽÝÁÍÉÚÄÖÜ")
LETTERS = re.compile(r"[^\W\d_]+")


def guess_encoding(content: bytes) -> tuple[str, bool]:
    """Return the encoding of a text, and whether that is certain.

    A mark at the start, or bytes that are valid UTF-8, is as good as certain.
    """
    for mark, encoding in MARKS:
        if content.startswith(mark):
            return encoding, True
    head = content[:JUDGED]
    if wide := _without_mark(head):
        return wide, True
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        scores = [(_score(head, encoding), -place) for place, encoding in enumerate(GUESSED)]
        return GUESSED[-max(scores)[1]], False
    return "utf-8", True


def decoded(content: bytes, encoding: str) -> tuple[str, int]:
    """Return the text, and how many bytes or characters the encoding does not have.

    Raises
    ------
    LookupError
        If there is no such encoding.
    """
    name = "utf-8-sig" if codecs.lookup(encoding).name == "utf-8" else encoding
    if codecs.lookup(name).name in {"utf-16", "utf-32"} and not content.startswith(
        (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)
    ):
        name = "utf-16-le" if content[1:2] == b"\0" else "utf-16-be"
    text = content.decode(name, errors="replace")
    return text.removeprefix("\ufeff"), text.count("\ufffd")


def _without_mark(head: bytes) -> str:
    """Return the name of UTF-16 that has no mark: every second byte of plain text is zero."""
    even, odd = head[0:2000:2], head[1:2000:2]
    for encoding, zeros, others in (("utf-16-le", odd, even), ("utf-16-be", even, odd)):
        is_wide = zeros.count(0) > 0.6 * len(zeros) and others.count(0) < 0.1 * len(others)
        if is_wide and len(head) >= 4:
            return encoding
    return ""


def _score(head: bytes, encoding: str) -> float:
    """Return how well a text reads in an encoding: good letters less strange ones."""
    decoder = codecs.getincrementaldecoder(encoding)(errors="strict")
    try:
        text = decoder.decode(head)
    except UnicodeDecodeError:
        return float("-inf")
    strange = [c for c in text if ord(c) > 127]
    if not strange:
        return 0.0
    good = sum(_character(c, encoding) for c in strange)
    words = LETTERS.findall(text)
    mixed = sum(_is_mixed(word) for word in words)
    known = sum(word.casefold() in ALL_WORDS for word in words if not word.isascii())
    return float(good - 3 * mixed + 10 * known) / len(strange)


def _character(char: str, encoding: str) -> float:
    """Return how usual a character is in texts of an encoding, from -2 to 1."""
    code = ord(char)
    if char in SIGNS:
        return 0.2
    if encoding in {"cp1252", "mac_roman"}:
        return 1 if char in WESTERN else -1
    if encoding == "cp1250":
        # Letters that both have say nothing; the usual one stands first in the list.
        return (0.99 if char in WESTERN else 1) if char in CENTRAL else -1
    if encoding == "cp1251":
        return 1 if 0x410 <= code <= 0x44F or char in "ёЁ" else -1
    if 0x3040 <= code <= 0x30FF:  # Japanese syllables
        return 1.2 if encoding == "shift_jis" else 0.3
    if 0x4E00 <= code <= 0x9FFF:
        return (0.9 if _is_common(char) else 0) if encoding == "gb18030" else 0.5
    if 0x3000 <= code <= 0x303F or 0xFF01 <= code <= 0xFF5E:  # wide signs
        return 0.5
    return -2  # half-width syllables and rare signs: other encodings read wrongly


def _is_common(char: str) -> bool:
    """Return whether a Chinese character is one of the 3,755 of the first level of GB 2312."""
    try:
        code = char.encode("gb2312")
    except UnicodeEncodeError:
        return False
    return len(code) == 2 and 0xB0 <= code[0] <= 0xD7


def _is_mixed(word: str) -> bool:
    """Return whether a word mixes scripts, or has a capital after a small letter's accent."""
    codes = [ord(c) for c in word]
    scripts = {"latin" if c < 0x370 else 0x400 <= c <= 0x52F for c in codes}
    inside = any(a.islower() and b.isupper() and ord(b) > 127 for a, b in pairwise(word))
    return len(scripts) > 1 or inside
