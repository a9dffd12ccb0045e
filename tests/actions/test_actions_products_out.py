"""A whole product out of the store as a folder in one file."""

import io
import zipfile

from small_products import LAMP, put_in

from stationflow.actions.products.products_out import folder_archive
from stationflow.files.product.product_folder import read_product_folder


def test_the_folder_in_the_file_says_the_same_product(store, tmp_path):
    put_in(store, LAMP)
    with zipfile.ZipFile(io.BytesIO(folder_archive(store, "L-100"))) as archive:
        archive.extractall(tmp_path / "out")
    assert read_product_folder(tmp_path / "out").product == LAMP


def test_the_same_product_gives_the_same_bytes(store):
    put_in(store, LAMP)
    assert folder_archive(store, "L-100") == folder_archive(store, "L-100")
