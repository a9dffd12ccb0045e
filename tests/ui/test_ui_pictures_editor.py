"""The pictures of a product are edited on the page, one sentence a test."""

import io

import pytest
from PIL import Image
from small_products import ANA, LAMP, PICTURES, a_picture
from streamlit.testing.v1 import AppTest

from stationflow.files.pictures import picture_checksum

PAGE = """
from stationflow.ui import session, undo
from stationflow.ui.tasks import pictures_editor
draft = session.store().draft("L-100")
undo.undo_buttons(draft)
pictures_editor.show_pictures(draft)
"""


@pytest.fixture
def page(store) -> AppTest:
    """Return the pictures of the lamp: one of 48 x 32 pixels."""
    contents = {picture_checksum(data): data for data in PICTURES.values()}
    store.add_product(LAMP, contents, **ANA)
    return AppTest.from_string(PAGE, default_timeout=60).run()


def upload(page: AppTest, *files: tuple[str, bytes]) -> None:
    told = [(name, content, "image/png") for name, content in files]
    page.file_uploader(key="pictures.upload.0").set_value(told).run()


def press(page: AppTest, key: str) -> None:
    page.button(key=key).click().run()


def names(store) -> list[str]:
    return [p.name for p in store.draft("L-100").product.pictures]


def size(store, name: str = "base.png") -> tuple[int, int]:
    data = store.pictures(store.draft("L-100").product)[name]
    return Image.open(io.BytesIO(data)).size


def test_two_pictures_are_uploaded_at_once(store, page):
    upload(page, ("arm.png", a_picture("red")), ("foot.png", a_picture("blue")))
    assert names(store) == ["base.png", "arm.png", "foot.png"]


def test_a_file_that_is_no_picture_is_told(page):
    upload(page, ("notes.png", b"words"))
    assert "neither PNG nor JPEG" in page.error[0].value


def test_a_good_picture_beside_a_bad_one_is_taken(store, page):
    upload(page, ("notes.png", b"words"), ("arm.png", a_picture("red")))
    assert names(store) == ["base.png", "arm.png"]


def test_a_turned_picture_is_stored(store, page):
    press(page, "pictures.right")
    assert size(store) == (32, 48)


def test_a_turn_can_be_undone(store, page):
    press(page, "pictures.right")
    press(page, "edit.undo")
    assert size(store) == (48, 32)


def test_a_cropped_picture_is_stored(store, page):
    page.slider(key="pictures.x.base.png.0").set_value((50, 100)).run()
    press(page, "pictures.crop")
    assert size(store) == (24, 32)


def test_the_uses_of_a_picture_are_named_before_it_is_taken_out(page):
    assert "base.png is shown at task 10" in " ".join(text.value for text in page.text)


def test_a_picture_that_is_taken_out_can_be_brought_back(store, page):
    press(page, "pictures.delete")
    assert names(store) == []
    press(page, "edit.undo")
    assert (names(store), size(store)) == (["base.png"], (48, 32))


def test_a_renamed_picture_is_followed_by_its_task(store, page):
    page.text_input(key="pictures.name.base.png").set_value("plate.png").run()
    press(page, "pictures.rename")
    assert store.draft("L-100").product.tasks[0].picture == "plate.png"
