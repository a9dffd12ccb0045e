"""A file is there whole, or the old one stays."""

import errno
import os
import stat
from pathlib import Path

import pytest
from small_products import LAMP

from stationflow.errors import SourceError
from stationflow.files.product.product_folder import write_product_folder
from stationflow.files.whole_files import write_whole
from stationflow.model import Product


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the disk be full after half of what is written."""
    write = Path.write_bytes

    def write_half(path: Path, data: bytes) -> int:
        write(path, data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))

    monkeypatch.setattr(Path, "write_bytes", write_half)


def content(folder: Path) -> dict[str, bytes]:
    """Return all files below a folder."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_a_file_takes_the_place_of_the_old_one(tmp_path: Path):
    for data in (b"old", b"new"):
        write_whole(tmp_path / "f.csv", data)
    assert content(tmp_path) == {"f.csv": b"new"}


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, request: pytest.FixtureRequest):
    write_whole(tmp_path / "f.csv", b"old")
    request.getfixturevalue("full_disk")
    with pytest.raises(OSError, match="No space left"):
        write_whole(tmp_path / "f.csv", b"new and longer")
    assert content(tmp_path) == {"f.csv": b"old"}


def test_a_full_disk_leaves_the_old_product_folder(tmp_path: Path, request: pytest.FixtureRequest):
    write_product_folder(tmp_path / "p", LAMP, {})
    before = content(tmp_path)
    request.getfixturevalue("full_disk")
    with pytest.raises(SourceError, match="No space left"):
        write_product_folder(tmp_path / "p", Product(code="P"), {})
    assert content(tmp_path) == before


def test_what_a_link_points_to_is_written(tmp_path: Path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "f.csv").symlink_to(tmp_path / "disk" / "f.csv")
    write_whole(tmp_path / "f.csv", b"new")
    assert (tmp_path / "f.csv").is_symlink()
    assert (tmp_path / "disk" / "f.csv").read_bytes() == b"new"


@pytest.mark.parametrize("rights", [0o640, 0o666])
def test_a_file_keeps_its_rights(rights: int, tmp_path: Path):
    (tmp_path / "f.csv").touch()
    (tmp_path / "f.csv").chmod(rights)
    write_whole(tmp_path / "f.csv", b"new")
    assert stat.S_IMODE((tmp_path / "f.csv").stat().st_mode) == rights
