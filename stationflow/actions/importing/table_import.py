"""Bring one table of a product in from a file: a tally of faults, machines, faults."""

from stationflow.actions.opening.reading_apart import read_apart
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.table_taking import TableTaken, take_table
from stationflow.model import Product


def table_from_file(product: Product, name: str, content: bytes, file_name: str) -> TableTaken:
    """Return the product with the rows of a file in one of its tables; nothing is stored.

    Raises `SourceError` if the file is damaged, too large, or of a kind that is not read.
    """
    return take_table(product, name, read_apart(file_name, read_foreign, content, file_name))
