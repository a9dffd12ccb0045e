"""Pictures from outside: only plain PNG and JPEG are kept, small enough and without hidden data."""

import hashlib
import io
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from stationflow.model import Finding, error
from stationflow.model.size_limits import LARGEST_PICTURE, MOST_PIXELS

if TYPE_CHECKING:
    from PIL import Image

LONGEST_SIDE = 1600  # pixels; at 10 cm on paper that is 400 dots an inch
REDUCING_GAP = 1.5
"""A picture over twice as large is halved (or more) before it is resampled: 2.5 times as fast."""
LONGEST_NAME = 120
JPEG_QUALITY = 90
PNG_START = b"\x89PNG\r\n\x1a\n"
JPEG_START = b"\xff\xd8\xff"
PNG_CHUNKS = {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"pHYs", b"sRGB", b"gAMA"}
JPEG_MARKS = {0xE0, 0xEE}  # the APP segments every JPEG may have; others carry data about the photo
PNG_MODES = {"1", "L", "LA", "RGB", "RGBA"}


def picture_checksum(data: bytes) -> str:
    """Return the SHA-256 of a picture's bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def clean_picture(data: bytes, name: str) -> tuple[bytes | None, Finding | None]:
    """Return a picture as it may be stored, or the finding that says why it is refused.

    The picture is turned as its camera data say, made smaller to 1600 pixels a
    side, and stripped of camera data and remarks. A picture that needs none of
    this comes back byte for byte. `name` is its file name, without folder.
    """
    problem = name_problem(name) or _too_large(data)
    if not problem and not data.startswith((PNG_START, JPEG_START)):
        problem = "it is neither PNG nor JPEG"
    if problem:
        return None, refused(name, problem)

    def kept(picture: "Image.Image") -> bytes:
        if not _is_clean(data, picture):
            return _encoded(picture)
        picture.load()
        return data

    return _made(data, name, ("PNG", "JPEG"), kept)


def picture_cost(data: bytes) -> int:
    """Return the pixels that a picture counts with among all of a product; 0: it is none.

    One that is small enough already is only looked at, and counts a quarter.
    """
    from PIL import Image

    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
            pixels = picture.width * picture.height
            return pixels // 4 if max(picture.size) <= LONGEST_SIDE else pixels
    except Exception:  # a broken picture raises almost anything; it is refused when it is cleaned
        return 0


def uploaded_picture(data: bytes, name: str) -> tuple[str, bytes | None, Finding | None]:
    """Return the name and bytes of an uploaded picture as it may be stored, or why it is refused.

    A WebP picture, as telephones make them, becomes a PNG when parts of it are see-through,
    else a JPEG; its name ends accordingly.
    """
    if data[:4] != b"RIFF" or data[8:12] != b"WEBP":
        return name, *clean_picture(data, name)
    if problem := _too_large(data):
        return name, None, refused(name, problem)
    made, finding = _made(data, name, ("WEBP",), _plain)
    if made is None:
        return name, None, finding
    stem = name[:-5] if name.lower().endswith(".webp") else name
    name = f"{stem}.png" if made.startswith(PNG_START) else f"{stem}.jpg"
    return name, *clean_picture(made, name)


def _too_large(data: bytes) -> str:
    if len(data) <= LARGEST_PICTURE:
        return ""
    return f"it has {len(data) // 1_000_000} MB; at most {LARGEST_PICTURE // 1_000_000} MB"


def _made(
    data: bytes, name: str, formats: tuple[str, ...], make: Callable[["Image.Image"], bytes]
) -> tuple[bytes | None, Finding | None]:
    """Return what is made of a picture, or the finding that says why it cannot be opened."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the size is judged below
            opened = Image.open(io.BytesIO(data), formats=formats)
        with opened as picture:
            if picture.width * picture.height > MOST_PIXELS:
                problem = f"it has {picture.width} x {picture.height} pixels; at most 40 million"
                return None, refused(name, problem)
            return make(picture), None
    except Exception as cause:  # a broken picture raises almost anything, and all mean the same
        return None, refused(name, f"it cannot be decoded ({type(cause).__name__})")


def _plain(picture: "Image.Image") -> bytes:
    """Return a picture of a newer kind upright, as PNG where it is see-through, else as JPEG."""
    from PIL import ImageOps

    upright = ImageOps.exif_transpose(picture)
    return _written(upright, upright.mode == "RGBA")


def edited_picture(
    data: bytes,
    *,
    quarter_turns: int = 0,
    crop: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0),
) -> bytes:
    """Return a stored picture turned by 90 degrees to the right so many times, then cropped.

    `crop` is the left, upper, right and lower edge of what is kept, as shares of width and height.
    """
    from PIL import Image

    left, upper, right, lower = crop
    if not (0 <= left < right <= 1 and 0 <= upper < lower <= 1):
        raise ValueError(f"the edges must lie between 0 and 1, left before right, got {crop}")
    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
        is_png = picture.format == "PNG"
        turned = picture.rotate(-90 * (quarter_turns % 4), expand=True)
        width, height = turned.size
        x, y = min(int(left * width), width - 1), min(int(upper * height), height - 1)
        box = (x, y, max(x + 1, round(right * width)), max(y + 1, round(lower * height)))
        return _written(turned.crop(box), is_png)


def name_problem(name: str) -> str:
    """Return why a name cannot be that of a picture; empty: it can."""
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        return f"its name must have 1 to {LONGEST_NAME} printable characters"
    if any(character in name for character in '/\\:*?"<>|') or name.startswith("."):
        return "its name must be a plain file name without folder"
    if name != name.strip() or name.endswith("."):
        return "its name must not begin or end with a blank or end with a point"
    if not name.lower().endswith((".png", ".jpg", ".jpeg")):
        return "its name must end in .png, .jpg or .jpeg"
    return ""


def refused(name: str, problem: str) -> Finding:
    """Return the finding for a picture that is not taken."""
    return error("picture-refused", f"Picture {name[:60]!r}", f"It was not taken: {problem}.")


def _is_clean(data: bytes, picture: "Image.Image") -> bool:
    """Return whether a picture can be kept byte for byte."""
    if max(picture.size) > LONGEST_SIDE or getattr(picture, "n_frames", 1) != 1:
        return False
    return _is_bare_png(data) if data.startswith(PNG_START) else _is_bare_jpeg(data)


def _is_bare_png(data: bytes) -> bool:
    """Return whether a PNG file holds nothing but its picture."""
    place = len(PNG_START)
    while place + 12 <= len(data):
        length, name = int.from_bytes(data[place : place + 4]), data[place + 4 : place + 8]
        if name not in PNG_CHUNKS:
            return False
        place += length + 12
        if name == b"IEND":
            return place == len(data)
    return False


def _is_bare_jpeg(data: bytes) -> bool:
    """Return whether a JPEG file holds nothing but its picture."""
    place = 2
    while place + 4 <= len(data) and data[place] == 0xFF:
        mark, length = data[place + 1], int.from_bytes(data[place + 2 : place + 4])
        if mark == 0xDA:  # the picture itself begins
            return data.endswith(b"\xff\xd9")
        is_about = 0xE0 <= mark <= 0xEF or mark == 0xFE
        if is_about and mark not in JPEG_MARKS:
            return False
        place += length + 2
    return False


def _encoded(picture: "Image.Image") -> bytes:
    """Return a picture turned upright, small enough, and written anew."""
    from PIL import Image, ImageOps

    is_png = picture.format == "PNG"
    picture.draft(None, (LONGEST_SIDE, LONGEST_SIDE))  # a great JPEG is unpacked to a part of it
    ImageOps.exif_transpose(picture, in_place=True)
    upright = picture
    if is_png:
        has_alpha = "transparency" in upright.info or upright.mode in {"P", "PA"}
        if has_alpha or upright.mode not in PNG_MODES:
            upright = upright.convert("RGBA")
    else:
        upright = upright.convert("L" if upright.mode == "L" else "RGB")
    if max(upright.size) > LONGEST_SIDE:
        if upright.mode == "1":
            upright = upright.convert("L")
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS, REDUCING_GAP)
    bare = Image.new(upright.mode, upright.size)
    bare.paste(upright)
    return _written(bare, is_png)


def _written(picture: "Image.Image", is_png: bool) -> bytes:
    """Return a picture as the bytes of a PNG or JPEG file, without remarks."""
    bare = picture if is_png else picture.convert("L" if picture.mode == "L" else "RGB")
    bare.info.clear()
    out = io.BytesIO()
    look: dict[str, Any] = (
        {"format": "PNG"} if is_png else {"format": "JPEG", "quality": JPEG_QUALITY}
    )
    bare.save(out, **look)
    return out.getvalue()
