"""What a path holds: product folder, product workbook or published instance."""

from pathlib import Path

from stationflow.errors import SourceError
from stationflow.files.instances import INSTANCE_ENDINGS, Instance, read_instance
from stationflow.files.product.product_folder import ProductFile, read_product_folder
from stationflow.files.product.workbook import read_workbook


def read_source_file(path: Path | str) -> ProductFile | Instance:
    """Read whatever a path holds.

    Raises `SourceError` if there is nothing, or it is none of the things that can be read.
    """
    path = Path(path)
    if path.is_dir():
        return read_product_folder(path)
    if not path.exists():
        raise SourceError(str(path), "there is no such file or folder.", "Check the path.")
    if path.suffix.lower() == ".xlsx":
        return read_workbook(path)
    if path.suffix.lower() in INSTANCE_ENDINGS:
        return read_instance(path)
    raise SourceError(
        str(path),
        f"files that end in {path.suffix or 'nothing'!r} are not read.",
        "Give a product folder, a product workbook (.xlsx) or an instance (.alb or .IN2).",
    )
