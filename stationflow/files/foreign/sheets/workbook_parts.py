"""The outside of a workbook: what is no workbook is refused by name, and nothing is too large."""

import io
import zipfile
import zlib
from collections.abc import Iterator
from typing import Any

from stationflow.errors import SourceError
from stationflow.model.size_limits import (
    LARGEST_PART,
    LARGEST_UNPACKED,
    LARGEST_WORKBOOK,
    MOST_ELEMENTS,
    MOST_PARTS,
)

DEEPEST = 64  # elements inside one another; a workbook needs about ten
PIECE = 1 << 16
TEXTS = frozenset({"v", "t", "f"})  # elements that hold text: value, text, formula

Element = tuple[str, dict[str, str] | None, str]
"""Name, attributes and text of an element that begins or, without attributes, ends."""

SAVE_AS = "Open it in a spreadsheet program and save it as .xlsx or .csv."
PACKED = (b"PK\x03\x04", b"PK\x05\x06")  # how a zip begins
OLD_CONTAINER = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
WORDS = "it is a word processor's document."
PICTURE = ("it is a picture.", "Ask for the spreadsheet, or type the tasks in.")
UNPACK = "Unpack it and give the table inside."
BY_FIRST_BYTES: tuple[tuple[bytes, str, str], ...] = (
    (b"%PDF", "it is a PDF document, not a table.", "Ask for the spreadsheet it was made from."),
    (b"\x89PNG", *PICTURE),
    (b"\xff\xd8\xff", *PICTURE),
    (b"GIF8", *PICTURE),
    (b"{\\rtf", WORDS, "Copy its table and paste it here."),
    (b"\x1f\x8b", "it is a packed file (gzip).", UNPACK),
    (b"7z\xbc\xaf", "it is a packed file (7z).", UNPACK),
    (b"Rar!", "it is a packed file (rar).", UNPACK),
    (b"SQLite format 3", "it is a database.", "Give a spreadsheet with the tasks."),
)
BY_PART: tuple[tuple[str, str, str], ...] = (
    ("xl/workbook.bin", "it is a binary workbook (.xlsb), which is not read.", SAVE_AS),
    ("word/document.xml", WORDS, "Copy its table and paste it."),
    ("ppt/presentation.xml", "it is a presentation.", "Copy its table and paste it here."),
    ("Index/Document.iwa", "it is a workbook of another office program.", SAVE_AS),
)


def refuse_other_kinds(content: bytes, name: str) -> None:
    """Refuse what is neither workbook nor text, each kind in its own sentence.

    Raises
    ------
    SourceError
        If the content is empty, too large, or of a kind that is not read.
    """
    if not content:
        raise SourceError(name, "the file is empty.", "Check that it was saved, and give it again.")
    if len(content) > LARGEST_WORKBOOK:
        megabytes = len(content) / 1_000_000
        limit = LARGEST_WORKBOOK // 1_000_000
        problem = f"it has {megabytes:.0f} MB; at most {limit} MB are read."
        raise SourceError(name, problem, "Delete pictures and sheets that are not needed.")
    for start, problem, hint in BY_FIRST_BYTES:
        if content.startswith(start):
            raise SourceError(name, problem, hint)
    if content.startswith(OLD_CONTAINER):  # encrypted workbooks come in it too
        if "EncryptedPackage".encode("utf-16-le") in content:
            problem = "the workbook is protected by a password and cannot be read."
            raise SourceError(name, problem, "Open it, take the password away, and save it again.")
        if "WordDocument".encode("utf-16-le") in content:
            raise SourceError(name, WORDS, "Copy its table and paste.")
        problem = "it is a workbook of the old format (.xls), which is not read."
        raise SourceError(name, problem, SAVE_AS)


def open_workbook(content: bytes, name: str) -> zipfile.ZipFile:
    """Open a workbook's package after its size was checked.

    Raises
    ------
    SourceError
        If it is damaged, too large when unpacked, or a package of another kind.
    """
    try:
        package = zipfile.ZipFile(io.BytesIO(content))
        parts = package.infolist()
    # What a broken archive raises; NotImplementedError: it asks for a later zip version.
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError, EOFError) as cause:
        problem = "it begins like a workbook, but is damaged or was cut off."
        raise SourceError(name, problem, "Get the file again, or save it again.") from cause
    sheets = [p for p in parts if not p.filename.lower().startswith("xl/media/")]
    unpacked = sum(part.file_size for part in sheets)
    if len(parts) > MOST_PARTS or unpacked > LARGEST_UNPACKED:
        problem = f"it would unpack to {len(parts)} parts with {unpacked / 1e6:.0f} MB."
        raise SourceError(name, problem, "Copy the table into a new workbook and save that.")
    names = {part.filename for part in parts}
    if any(part.flag_bits & 1 for part in parts):
        raise SourceError(name, "the packed file is protected by a password.", SAVE_AS)
    for part, problem, hint in BY_PART:
        if part in names:
            raise SourceError(name, problem, hint)
    if "mimetype" in names:
        problem = "it is a document of the OpenDocument kind (.ods), which is not read."
        raise SourceError(name, problem, SAVE_AS)
    if not any(n.lower().replace("\\", "/").endswith("xl/workbook.xml") for n in names):
        raise SourceError(name, "it is a packed file (zip) without a workbook in it.", UNPACK)
    return package


def find_part(package: zipfile.ZipFile, path: str) -> zipfile.ZipInfo | None:
    """Return a part by its path, whatever the case or the slashes; None: there is none."""
    wanted = path.lstrip("/").lower()
    for part in package.infolist():
        if part.filename.replace("\\", "/").lstrip("/").lower() == wanted:
            return part
    return None


def _pieces(package: zipfile.ZipFile, part: zipfile.ZipInfo, name: str) -> Iterator[bytes]:
    """Yield the bytes of a part; no more is unpacked than its directory claims."""
    if part.file_size > LARGEST_PART:
        problem = f"its part {part.filename[:60]!r} is larger than "
        problem += f"{LARGEST_PART // 1_000_000} MB when unpacked."
        raise SourceError(name, problem, "Copy the table into a new workbook.")
    try:
        with package.open(part) as file:
            while piece := file.read(PIECE):
                yield piece
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, RuntimeError) as cause:
        # RuntimeError also stands for compression methods that Python does not have.
        raise _damaged(name, part.filename) from cause


def _damaged(name: str, part: str) -> SourceError:
    """Return the refusal of a workbook with a broken part."""
    problem = f"the workbook is damaged: its part {part[:60]!r} cannot be read."
    return SourceError(name, problem, "Open it in a spreadsheet program and save it again.")


def elements(
    package: zipfile.ZipFile,
    part: zipfile.ZipInfo | None,
    name: str,
    most: int = MOST_ELEMENTS,
) -> Iterator[Element]:
    """Yield the elements of one part as they begin and end, without keeping it in memory.

    At an end there are no attributes; elements that hold text come at their end only, with
    it. Names come without namespace; how a text is spoken (rPh) is left out. Document types
    are refused, because nothing but an attack has entities in a workbook (CWE-776).

    Raises
    ------
    SourceError
        If the part is damaged, too large, or nested too deep.
    """
    from xml.parsers import expat

    if part is None:
        return
    met: list[Element] = []
    text: list[str] = []
    depth = spoken = total = 0

    def opened(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth, spoken
        depth += 1
        if depth > DEEPEST:
            raise _damaged(name, part.filename)
        text.clear()
        if ":" in tag:
            tag = tag.rpartition(":")[2]
        if tag == "rPh":
            spoken += 1
        if not spoken and tag not in TEXTS:
            met.append((tag, attributes, ""))

    def closed(tag: str) -> None:
        nonlocal depth, spoken
        depth -= 1
        if ":" in tag:
            tag = tag.rpartition(":")[2]
        if not spoken:
            met.append((tag, None, "".join(text) if tag in TEXTS else ""))
        if tag == "rPh":
            spoken -= 1

    def refused(*_: Any) -> None:
        problem = "the workbook holds a document type, which no spreadsheet program writes."
        raise SourceError(name, problem, "Copy the table into a new workbook and save that.")

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = opened
    parser.EndElementHandler = closed
    parser.StartDoctypeDeclHandler = refused
    parser.CharacterDataHandler = text.append
    try:
        for piece in _pieces(package, part, name):
            parser.Parse(piece, False)
            total += len(met)
            if total > 2 * most:  # each begins and ends
                problem = f"its part {part.filename[:60]!r} holds more than {most} elements."
                raise SourceError(
                    name, problem, "Copy the table into a new workbook and save that."
                )
            yield from met
            met.clear()
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, LookupError) as cause:
        raise _damaged(name, part.filename) from cause
    yield from met
