"""The outside of a workbook: what is no workbook is refused by name, and nothing is too large."""

import io
import zipfile
import zlib
from collections.abc import Callable, Iterator
from typing import Any

from stationflow.errors import SourceError

LARGEST_FILE = 50_000_000  # bytes as given
LARGEST_PART = 150_000_000  # bytes of one unpacked part
LARGEST_UNPACKED = 400_000_000  # bytes of all parts but pictures
MOST_PARTS = 5_000
DEEPEST = 64  # elements inside one another; a workbook needs about ten
PIECE = 1 << 16

SAVE_AS = "Open it in a spreadsheet program and save it as .xlsx or .csv."
OLD_CONTAINER = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
BY_FIRST_BYTES: tuple[tuple[bytes, str, str], ...] = (
    (b"%PDF", "it is a PDF document, not a table.", "Ask for the spreadsheet it was made from."),
    (b"\x89PNG", "it is a picture.", "Ask for the spreadsheet, or type the tasks in."),
    (b"\xff\xd8\xff", "it is a picture.", "Ask for the spreadsheet, or type the tasks in."),
    (b"GIF8", "it is a picture.", "Ask for the spreadsheet, or type the tasks in."),
    (b"{\\rtf", "it is a word processor's document.", "Copy its table and paste it here."),
    (b"\x1f\x8b", "it is a packed file (gzip).", "Unpack it and give the table inside."),
    (b"7z\xbc\xaf", "it is a packed file (7z).", "Unpack it and give the table inside."),
    (b"Rar!", "it is a packed file (rar).", "Unpack it and give the table inside."),
    (b"SQLite format 3", "it is a database.", "Give a spreadsheet with the tasks."),
)
BY_PART: tuple[tuple[str, str, str], ...] = (
    ("xl/workbook.bin", "it is a binary workbook (.xlsb), which is not read.", SAVE_AS),
    ("word/document.xml", "it is a word processor's document.", "Copy its table and paste it."),
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
    if len(content) > LARGEST_FILE:
        megabytes = len(content) / 1_000_000
        limit = LARGEST_FILE // 1_000_000
        problem = f"it has {megabytes:.0f} MB; at most {limit} MB are read."
        raise SourceError(name, problem, "Delete pictures and sheets that are not needed.")
    if content.startswith(OLD_CONTAINER):
        _refuse_old_container(content, name)
    for start, problem, hint in BY_FIRST_BYTES:
        if content.startswith(start):
            raise SourceError(name, problem, hint)


def _refuse_old_container(content: bytes, name: str) -> None:
    """Tell an encrypted workbook from one of the old format; both come in one container."""
    if "EncryptedPackage".encode("utf-16-le") in content:
        problem = "the workbook is protected by a password and cannot be read."
        raise SourceError(name, problem, "Open it, take the password away, and save it again.")
    if "WordDocument".encode("utf-16-le") in content:
        raise SourceError(name, "it is a word processor's document.", "Copy its table and paste.")
    raise SourceError(
        name, "it is a workbook of the old format (.xls), which is not read.", SAVE_AS
    )


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
        problem = "it is a packed file (zip) without a workbook in it."
        raise SourceError(name, problem, "Unpack it and give the table inside.")
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


class EnoughReadError(Exception):
    """Raised by a handler that has all it wants of a part."""


def parse_part(
    package: zipfile.ZipFile,
    part: zipfile.ZipInfo,
    name: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None],
    text: Callable[[str], None] | None = None,
) -> None:
    """Read one part element by element, without keeping it in memory.

    Element names come without namespace. Document types are refused, because
    nothing but an attack has entities in a workbook (CWE-776).

    Raises
    ------
    SourceError
        If the part is damaged, too large, or nested too deep.
    """
    from xml.parsers import expat

    depth = 0

    def opened(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise _damaged(name, part.filename)
        start(tag.rpartition(":")[2], attributes)

    def closed(tag: str) -> None:
        nonlocal depth
        depth -= 1
        end(tag.rpartition(":")[2])

    def refused(*_: Any) -> None:
        problem = "the workbook holds a document type, which no spreadsheet program writes."
        raise SourceError(name, problem, "Copy the table into a new workbook and save that.")

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = opened
    parser.EndElementHandler = closed
    parser.StartDoctypeDeclHandler = refused
    if text is not None:
        parser.CharacterDataHandler = text
    try:
        for piece in _pieces(package, part, name):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except EnoughReadError:
        return
    except (expat.ExpatError, ValueError, LookupError) as cause:
        raise _damaged(name, part.filename) from cause
