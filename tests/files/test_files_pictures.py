"""Pictures from outside. Files are made with Pillow or typed in byte by byte."""

import io
import struct
import zlib

import pytest
from PIL import Image, PngImagePlugin
from product_strategies import drawn_picture

from stationflow.files.pictures import clean_picture, name_problem


def cleaned(data: bytes, name: str = "a.png") -> Image.Image:
    """Return a cleaned picture, opened."""
    kept, finding = clean_picture(data, name)
    assert kept is not None, finding
    return Image.open(io.BytesIO(kept))


def chunk(name: bytes, data: bytes) -> bytes:
    """Return one chunk of a PNG file."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def bomb(width: int, height: int) -> bytes:
    """Return a small PNG file that says it is a very large picture."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = chunk(b"IDAT", zlib.compress(bytes(1_000_000)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + rows + chunk(b"IEND", b"")


def turned_photo() -> bytes:
    """Return a JPEG of 40 x 20 pixels that its camera data turn by 90 degrees."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010E] = "taken at the gate"
    out = io.BytesIO()
    Image.new("RGB", (40, 20)).save(out, "JPEG", exif=exif)
    return out.getvalue()


def png_with_remark() -> bytes:
    """Return a PNG file with a text beside the picture."""
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", "somebody")
    out = io.BytesIO()
    Image.new("RGB", (4, 4)).save(out, "PNG", pnginfo=info)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_plain_picture_comes_back_byte_for_byte(kind: str):
    data = drawn_picture(kind)
    assert clean_picture(data, "a.png") == (data, None)


@pytest.mark.parametrize("data", [turned_photo(), png_with_remark(), drawn_picture("PNG", 2000, 9)])
def test_cleaning_twice_changes_nothing(data: bytes):
    once, _ = clean_picture(data, "a.png")
    assert once is not None
    assert clean_picture(once, "a.png") == (once, None)


def test_a_photo_is_turned_upright():
    assert cleaned(turned_photo()).size == (20, 40)


def test_camera_data_are_dropped():
    assert dict(cleaned(turned_photo()).getexif()) == {}


def test_remarks_in_a_png_are_dropped():
    assert "Author" not in cleaned(png_with_remark()).info


def test_a_large_picture_is_made_1600_pixels_long():
    assert cleaned(drawn_picture("JPEG", 3200, 800)).size == (1600, 400)


def test_what_follows_a_picture_is_dropped():
    kept, _ = clean_picture(drawn_picture("PNG") + b"PK hidden", "a.png")
    assert kept is not None
    assert b"hidden" not in kept


def test_see_through_pixels_stay_see_through():
    out = io.BytesIO()
    Image.new("RGBA", (1700, 2), (0, 0, 0, 0)).save(out, "PNG")
    assert cleaned(out.getvalue()).getpixel((0, 0))[3] == 0


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"GIF89a" + bytes(40),
        b"\x89PNG\r\n\x1a\n",
        b"\xff\xd8\xff" + bytes(40),
        drawn_picture("PNG")[:-30],
        drawn_picture("JPEG")[:300],
        bomb(100_000, 100_000),
        bomb(20_000, 20_000),
        bomb(7_000, 6_000),
    ],
    ids=["empty", "svg", "gif", "png0", "jpeg0", "png-cut", "jpeg-cut", "bomb1", "bomb2", "bomb3"],
)
def test_what_is_no_usable_picture_is_refused(data: bytes):
    kept, finding = clean_picture(data, "a.png")
    assert (kept, finding and finding.code) == (None, "picture-refused")


@pytest.mark.parametrize(
    "name",
    ["", "../a.png", "/a.png", "a\\b.png", "C:a.png", ".a.png", "a.svg", "a\n.png", "a.png "],
)
def test_a_name_that_is_no_plain_file_name_is_refused(name: str):
    assert name_problem(name)


@pytest.mark.parametrize("name", ["a.png", "Ä 1.JPG", "step-3.final.jpeg"])
def test_a_plain_file_name_is_taken(name: str):
    assert name_problem(name) == ""
