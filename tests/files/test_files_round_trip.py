"""Reading one dress and writing the other loses nothing."""

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from product_strategies import drawn_picture, plans, products

from stationflow.files.codec import PRODUCT
from stationflow.files.product.product_folder import (
    ProductFile,
    read_product_folder,
    write_product_folder,
)
from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook

PICTURES = {"b.png": drawn_picture("PNG"), "Ä 1.jpg": drawn_picture("JPEG", colour="red")}
slow = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate, Phase.shrink],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def through_folder(file: ProductFile) -> ProductFile:
    """Write a product folder and read it."""
    with tempfile.TemporaryDirectory() as name:
        write_product_folder(Path(name) / "p", file.product, dict(file.pictures), file.plans)
        return read_product_folder(Path(name) / "p")


def through_workbook(file: ProductFile) -> ProductFile:
    """Write a workbook and read it."""
    data, findings = write_workbook(file.product, dict(file.pictures), file.plans)
    assert findings == ()
    return read_workbook(data)


def whole(product, some_plans) -> ProductFile:
    """Return a product with its pictures in its own order."""
    pictures = tuple((p.name, PICTURES[p.name]) for p in product.pictures)
    return ProductFile(product=product, pictures=pictures, plans=tuple(some_plans))


@slow
@given(products(PICTURES), st.lists(plans, max_size=2))
def test_a_folder_keeps_everything(product, some_plans):
    file = whole(product, some_plans)
    assert through_folder(file) == file


@slow
@given(products(PICTURES), st.lists(plans, max_size=2))
def test_a_workbook_keeps_everything(product, some_plans):
    file = whole(product, some_plans)
    assert through_workbook(file) == file


@settings(slow, max_examples=15)
@given(products(PICTURES), st.lists(plans, max_size=1))
def test_folder_to_workbook_to_folder_keeps_everything(product, some_plans):
    file = whole(product, some_plans)
    assert through_folder(through_workbook(through_folder(file))) == file


@slow
@given(products(PICTURES))
def test_json_keeps_everything(product):
    assert PRODUCT.from_json(PRODUCT.to_json(product)) == product


def test_the_same_product_gives_the_same_workbook(tmp_path: Path):
    product = PRODUCT.from_json('{"code": "P-1", "tasks": [{"number": "010", "time_s": 7.5}]}')
    assert write_workbook(product, {})[0] == write_workbook(product, {})[0]
