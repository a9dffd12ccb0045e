"""The fonts cards are set in, and which characters they have."""

import functools
import os
import re
import struct
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stationflow.drawing.text_size import FONT_FAMILY, font_file, font_folder

FOLDER = "STATIONFLOW_FONTS"
"""Environment variable: a folder with further fonts, taken before those of the machine."""
PREFERRED = ("Noto Sans CJK", "Noto Sans", "Source Han Sans", "Droid Sans Fallback", "DejaVu Sans")
"""Families to take first, as far as they are there: upright, without serifs, of even weight."""
AVOIDED = re.compile(r"Mono|Display|Serif|Condensed|Symbols|Rashi|Looped|Unjoined")
"""Words in the names of families to take last."""


@dataclass(frozen=True, slots=True)
class FontFile:
    """One font of a file, and the family it is set by."""

    family: str
    path: str
    index: int = 0


def extra_folder() -> str:
    """Return the folder of further fonts, or empty where none is named or there."""
    named = os.environ.get(FOLDER, "")
    return named if named and Path(named).is_dir() else ""


def typst_fonts() -> Any:
    """Return the fonts for setting cards: ours first, the folder's, then those of the machine."""
    return _fonts(extra_folder())


@functools.cache
def _fonts(extra: str) -> Any:
    """Return the fonts, read once for each folder."""
    import typst

    paths = [str(font_folder()), *([extra] if extra else [])]
    return typst.Fonts(include_system_fonts=True, include_embedded_fonts=False, font_paths=paths)


def missing_characters(texts: Iterable[str]) -> str:
    """Return the characters that no font on this machine has, each once, in order.

    They would be printed as empty boxes.
    """
    wanted = dict.fromkeys(c for text in texts for c in text if _is_drawn(c))
    return "".join(c for c in wanted if ord(c) not in own_characters() and not font_of(c))


def _is_drawn(character: str) -> bool:
    """Return whether a character needs a glyph: no space, control or variation selector."""
    return (
        character.isprintable()
        and not character.isspace()
        and not "\ufe00" <= character <= "\ufe0f"
    )


def families_of(characters: Iterable[str]) -> tuple[str, ...]:
    """Return the families that together have the characters, ours first."""
    others = sorted(c for c in set(characters) if ord(c) not in own_characters())
    found = (font_of(c) for c in others)
    return tuple(dict.fromkeys([FONT_FAMILY, *(font.family for font in found if font)]))


def font_of(character: str) -> FontFile | None:
    """Return the font a character is set in where ours has not got it; None: no font has it."""
    return _font_of(extra_folder(), character)


@functools.lru_cache(maxsize=10_000)
def _font_of(extra: str, character: str) -> FontFile | None:
    """Return the first font in the order of preference that has a character."""
    fonts = _others(extra)
    code = ord(character)
    return next((f for f in fonts if code in _characters(Path(f.path), f.index)), None)


@functools.cache
def _others(extra: str) -> tuple[FontFile, ...]:
    """Return the upright fonts of the families beside ours, in order of preference."""
    known: dict[str, list[Any]] = {}
    for font in _fonts(extra).fonts():
        if font.path and font.style == "normal" and font.family != FONT_FAMILY:
            known.setdefault(font.family, []).append(font)

    def upright(family: str) -> FontFile:
        fonts = known[family]
        chosen = min(fonts, key=lambda f: (abs(f.weight - 400), abs(f.stretch - 1), f.path))
        return FontFile(family, chosen.path, chosen.index)

    def order(family: str) -> tuple[bool, bool, int, str]:
        is_extra = bool(extra) and known[family][0].path.startswith(extra)
        places = [n for n, start in enumerate(PREFERRED) if family.startswith(start)]
        place = min(places, default=len(PREFERRED))
        return (not is_extra, bool(AVOIDED.search(family)), place, family)

    return tuple(upright(family) for family in sorted(known, key=order))


@functools.cache
def own_characters() -> frozenset[int]:
    """Return the characters of the upright font that comes with Stationflow."""
    return _characters(font_file(), 0)


@functools.cache
def _characters(path: Path, index: int) -> frozenset[int]:
    """Return the characters of a font, read from its table `cmap`.

    Formats 4 and 12 are read, which is what fonts of today have; a font that cannot
    be read counts as empty. Source: OpenType specification, "cmap" and "otff".
    """
    try:
        data = path.read_bytes()
        start = 0
        if data[:4] == b"ttcf":
            start = struct.unpack_from(">I", data, 12 + 4 * index)[0]
        cmap = _table(data, start, b"cmap")
        found: set[int] = set()
        for record in range(struct.unpack_from(">H", data, cmap + 2)[0]):
            table = cmap + struct.unpack_from(">I", data, cmap + 8 + 8 * record)[0]
            form = struct.unpack_from(">H", data, table)[0]
            if form == 4:
                found |= _segments(data, table)
            elif form == 12:
                found |= _groups(data, table)
    except (OSError, struct.error, LookupError):
        return frozenset()
    return frozenset(found)


def _table(data: bytes, start: int, tag: bytes) -> int:
    """Return where a table of a font begins."""
    for record in range(struct.unpack_from(">H", data, start + 4)[0]):
        at = start + 12 + 16 * record
        if data[at : at + 4] == tag:
            return int(struct.unpack_from(">I", data, at + 8)[0])
    raise LookupError(tag)


def _segments(data: bytes, table: int) -> set[int]:
    """Return the characters of a table of format 4."""
    count = struct.unpack_from(">H", data, table + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", data, table + 14)
    starts = struct.unpack_from(f">{count}H", data, table + 16 + 2 * count)
    return {c for first, last in zip(starts, ends, strict=True) for c in range(first, last + 1)} - {
        0xFFFF
    }


def _groups(data: bytes, table: int) -> set[int]:
    """Return the characters of a table of format 12."""
    found: set[int] = set()
    for group in range(struct.unpack_from(">I", data, table + 12)[0]):
        first, last, _ = struct.unpack_from(">III", data, table + 16 + 12 * group)
        found.update(range(first, last + 1))
    return found
