"""Plan paced assembly lines: takt, tasks, balanced stations, printed station cards.

What a programmer needs first::

    import stationflow as sf

    product, findings = sf.read_product("demo_products/desk_fan")
    pace = sf.line_pace(product, "main")
    result = sf.balance_line(
        product, limit_s=pace.station_time_s, method="ranked-positional-weight"
    )
    print(sf.summary(result))
    sf.write_cards("demo_products/desk_fan", result, "cards.pdf")
"""

from pathlib import Path
from typing import TYPE_CHECKING

from stationflow.balancing.balance import balance_line
from stationflow.balancing.explained.summary import summary
from stationflow.errors import SourceError, StationflowError
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Ending,
    Finding,
    Line,
    Plan,
    Product,
    Severity,
    Task,
)
from stationflow.model.unread import Use
from stationflow.pace.takt import LinePace, line_pace, operating_takt_s, station_time_s, takt_time_s

if TYPE_CHECKING:
    from stationflow.files.product.product_folder import ProductFile

__version__ = "0.1.0"

__all__ = [
    "BalanceResult",
    "BalanceSettings",
    "Ending",
    "Finding",
    "Line",
    "LinePace",
    "Plan",
    "Product",
    "Severity",
    "StationflowError",
    "Task",
    "balance_line",
    "line_pace",
    "operating_takt_s",
    "read_product",
    "station_time_s",
    "summary",
    "takt_time_s",
    "write_cards",
]


def read_product(path: str | Path) -> tuple[Product, tuple[Finding, ...]]:
    """Read a product folder or workbook.

    Parameters
    ----------
    path
        A product folder, or a workbook ending in .xlsx.

    Returns
    -------
    tuple
        The product, as far as it could be read, and all findings of reading it.

    Raises
    ------
    SourceError
        If there is no product at this path.
    """
    file = _product_file(Path(path))
    return file.product, file.findings


def write_cards(
    path: str | Path, result: BalanceResult, out: str | Path, *, paper: str = "a4"
) -> tuple[Finding, ...]:
    """Write the station cards of a balanced line of a product folder or workbook as PDF.

    Parameters
    ----------
    path
        The product folder or workbook the line was read from.
    result
        The balanced line.
    out
        The PDF file to write.
    paper
        "a4", "a3" or "letter".

    Returns
    -------
    tuple of Finding
        What should be known before hanging the cards up. With an error that begins in the files,
        nothing is written.
    """
    from stationflow.cards import Paper, cards_pdf, station_cards
    from stationflow.files.whole_files import write_whole

    file = _product_file(Path(path))
    if stopped := file.product.stopped([result.line], Use.CARDS, Use.WORK, Use.PACE):
        return stopped
    plan = Plan(product=file.product.code, result=result)
    cards, findings = station_cards(file.product, plan, version_label="file")
    write_whole(Path(out), cards_pdf(cards, dict(file.pictures), paper=Paper(paper)))
    return findings


def _product_file(path: Path) -> "ProductFile":
    """Read what a product folder or workbook holds."""
    from stationflow.files.product.product_folder import ProductFile
    from stationflow.files.source import read_source_file

    file = read_source_file(path)
    if not isinstance(file, ProductFile):
        raise SourceError(
            str(path),
            "it is a published instance, not a product.",
            "Give a product folder or a workbook.",
        )
    return file
