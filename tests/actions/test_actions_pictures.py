"""Pictures are taken in, turned, cropped, renamed, replaced and taken out. Files by Pillow."""

import io
from dataclasses import replace

import pytest
from PIL import Image
from small_products import LAMP, PHOTO, a_picture

from stationflow.actions.products import picture_edits
from stationflow.errors import StoreError
from stationflow.files.pictures import edited_picture, picture_checksum
from stationflow.model import Step

SHOWN = replace(
    LAMP,
    tasks=(replace(LAMP.tasks[0], steps=(Step(text="Lay", picture="base.png"),)), *LAMP.tasks[1:]),
)


def saved(kind: str, size=(40, 20), mode="RGB", **more) -> bytes:
    """Return a picture of one colour."""
    out = io.BytesIO()
    Image.new(mode, size, (200, 30, 30, 0)[: len(mode)]).save(out, kind, **more)
    return out.getvalue()


def quarters() -> bytes:
    """Return a PNG of 20 x 10 pixels, red on the left and blue on the right."""
    picture = Image.new("RGB", (20, 10), "red")
    picture.paste("blue", (10, 0, 20, 10))
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_a_webp_photo_becomes_a_jpeg():
    _, contents, name = picture_edits.take_picture(LAMP, "arm.webp", saved("WEBP"))
    assert (name, opened(next(iter(contents.values()))).format) == ("arm.jpg", "JPEG")


def test_a_see_through_webp_becomes_a_png():
    _, contents, name = picture_edits.take_picture(LAMP, "arm.webp", saved("WEBP", mode="RGBA"))
    assert (name, opened(next(iter(contents.values()))).format) == ("arm.png", "PNG")


def test_a_webp_photo_is_turned_as_its_camera_data_say():
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by 90 degrees
    _, contents, _ = picture_edits.take_picture(LAMP, "arm.webp", saved("WEBP", exif=exif))
    assert opened(next(iter(contents.values()))).size == (20, 40)


def test_a_picture_is_added_under_its_name():
    product, _, _ = picture_edits.take_picture(LAMP, "arm.png", a_picture("red"))
    assert [p.name for p in product.pictures] == ["base.png", "arm.png"]


def test_a_picture_of_a_taken_name_gets_another_name():
    product, _, name = picture_edits.take_picture(LAMP, "base.png", a_picture("red"))
    assert (name, [p.name for p in product.pictures]) == ("base-2.png", ["base.png", "base-2.png"])


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.png", b"these are words"),
        ("a.png", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
        ("a.png", PHOTO[:-30]),
        ("a.webp", saved("WEBP")[:30]),
        ("a.gif", saved("GIF", mode="L")),
        ("a.webp", saved("WEBP", size=(8000, 6000))),
    ],
    ids=["words", "svg", "cut", "webp-cut", "gif", "48-million-pixels"],
)
def test_what_is_no_usable_picture_is_refused_with_words_for_an_upload(name, content):
    with pytest.raises(StoreError, match="Choose a PNG, JPEG or WebP picture"):
        picture_edits.take_picture(LAMP, name, content)


def test_a_turn_to_the_right_puts_the_left_side_on_top():
    turned = opened(edited_picture(quarters(), quarter_turns=1))
    assert (turned.size, turned.getpixel((5, 2))) == ((10, 20), (255, 0, 0))


def test_a_turn_to_the_left_puts_the_right_side_on_top():
    assert opened(edited_picture(quarters(), quarter_turns=-1)).getpixel((5, 2)) == (0, 0, 255)


def test_a_crop_keeps_what_is_asked_for():
    cropped = opened(edited_picture(quarters(), crop=(0.5, 0.0, 1.0, 0.5)))
    assert (cropped.size, cropped.getpixel((0, 0))) == ((10, 5), (0, 0, 255))


def test_a_crop_of_almost_nothing_keeps_a_pixel():
    assert opened(edited_picture(quarters(), crop=(0.999, 0.999, 1.0, 1.0))).size == (1, 1)


def test_an_edited_picture_keeps_its_name():
    product, contents = picture_edits.edit_picture(LAMP, "base.png", PHOTO, quarter_turns=1)
    assert (product.pictures[0].name, product.pictures[0].checksum) == (
        "base.png",
        picture_checksum(next(iter(contents.values()))),
    )


def test_a_replaced_picture_keeps_its_name():
    product, _ = picture_edits.replace_picture(LAMP, "base.png", "new.jpg", a_picture("red"))
    assert product.pictures[0].name == "base.png"


def test_tasks_and_steps_follow_a_renamed_picture():
    task = picture_edits.rename_picture(SHOWN, "base.png", "plate").tasks[0]
    assert (task.picture, task.steps[0].picture) == ("plate.png", "plate.png")


def test_a_picture_cannot_take_the_name_of_another():
    two, _, _ = picture_edits.take_picture(LAMP, "arm.png", a_picture("red"))
    with pytest.raises(StoreError, match=r"called 'ARM.png'"):
        picture_edits.rename_picture(two, "base.png", "ARM.png")


def test_a_picture_name_with_a_folder_is_refused():
    with pytest.raises(StoreError, match="plain file name"):
        picture_edits.rename_picture(LAMP, "base.png", "a/b.png")


def test_the_uses_of_a_picture_are_named():
    assert picture_edits.picture_uses(SHOWN, "base.png") == ("task 10", "step 1 of task 10")


def test_a_picture_that_is_taken_out_is_shown_nowhere():
    product = picture_edits.delete_picture(SHOWN, "base.png")
    assert (product.pictures, picture_edits.picture_uses(product, "base.png")) == ((), ())
