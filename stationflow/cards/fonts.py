"""The fonts cards are set in, and which characters they have."""

import functools
import struct
from collections.abc import Iterable
from pathlib import Path
from typing import Any

FAMILY = "Noto Sans"


def font_folder() -> Path:
    """Return the folder of the font that comes with Stationflow."""
    import fontpkg_noto_sans

    return Path(fontpkg_noto_sans.ROOT)


@functools.cache
def typst_fonts() -> Any:
    """Return the fonts for setting cards: ours first, then those of the machine."""
    import typst

    return typst.Fonts(include_system_fonts=True, font_paths=[str(font_folder())])


def missing_characters(texts: Iterable[str]) -> str:
    """Return the characters that no font on this machine has, each once, in order.

    They would be printed as empty boxes.
    """
    wanted = dict.fromkeys(c for text in texts for c in text if c.isprintable() and not c.isspace())
    left = [c for c in wanted if ord(c) not in own_characters()]
    if left:
        others = _machine_characters()
        left = [c for c in left if ord(c) not in others]
    return "".join(left)


@functools.cache
def own_font() -> Path:
    """Return the file of the upright font that comes with Stationflow."""
    upright = [p for p in sorted(font_folder().rglob("*.ttf")) if "Italic" not in p.name]
    return upright[0]


@functools.cache
def own_characters() -> frozenset[int]:
    """Return the characters of the font that comes with Stationflow."""
    return _characters(own_font(), 0)


@functools.cache
def _machine_characters() -> frozenset[int]:
    """Return the characters of all other fonts typst may fall back to."""
    files = {(font.path, font.index) for font in typst_fonts().fonts() if font.path}
    return frozenset().union(*(_characters(Path(path), index) for path, index in files))


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
