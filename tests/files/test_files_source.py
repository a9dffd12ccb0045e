"""What a path holds is found by its kind and ending."""

from pathlib import Path

import pytest

from stationflow.errors import SourceError
from stationflow.files.instances import Instance
from stationflow.files.product.product_folder import ProductFile, write_product_folder
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.files.source import read_source_file
from stationflow.model import Product

PUMP = Product(code="P-1")


def test_a_folder_is_a_product(tmp_path: Path):
    write_product_folder(tmp_path, PUMP, {})
    assert read_source_file(tmp_path) == ProductFile(product=PUMP)


@pytest.mark.parametrize("name", ["pump.xlsx", "PUMP.XLSX"])
def test_a_workbook_is_a_product(tmp_path: Path, name: str):
    (tmp_path / name).write_bytes(write_workbook(PUMP, {})[0])
    assert read_source_file(tmp_path / name) == ProductFile(product=PUMP)


@pytest.mark.parametrize("name", ["a.IN2", "a.in2"])
def test_an_instance_is_an_instance(tmp_path: Path, name: str):
    (tmp_path / name).write_text("1\n5\n-1,-1\n", encoding="utf-8")
    assert isinstance(read_source_file(tmp_path / name), Instance)


def test_another_ending_is_refused(tmp_path: Path):
    (tmp_path / "a.pdf").write_bytes(b"%PDF")
    with pytest.raises(SourceError, match=r"'\.pdf' are not read"):
        read_source_file(tmp_path / "a.pdf")


def test_nothing_there_is_refused(tmp_path: Path):
    with pytest.raises(SourceError, match="no such file"):
        read_source_file(tmp_path / "a.xlsx")
