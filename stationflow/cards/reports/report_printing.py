"""Reports on paper, as PDF."""

import json
import shutil
import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from stationflow.cards.fonts import families_of, typst_fonts
from stationflow.cards.paper import A4_LONG_MM, Paper, time_of_print
from stationflow.cards.reports.report import Report, ReportTable, Section
from stationflow.cards.settable import settable
from stationflow.errors import CardError
from stationflow.model import Explained
from stationflow.model.size_limits import LONGEST_ON_CARD
from stationflow.pace.figures import figure

HERE = Path(__file__).parent
PAGE = "Page {page} of {pages}"
DRAWING_SHARE = 33  # percent of the height of a page that the drawing of a one-page report has

ROOM_TO_WRITE = 30  # a column to be written in is as wide as one of so many letters


def reports_pdf(
    reports: Sequence[Report],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = True,
    created: date | None = None,
    title: str = "",
) -> bytes:
    """Return reports as one PDF; the same content and date give the same bytes.

    `title` stands at the foot of each page; empty: that of the first report.

    Raises
    ------
    CardError
        If there is nothing to print, or it could not be set.
    """
    import typst

    if not reports:
        raise CardError("There is nothing to print.", "Enter what belongs on it first.")
    width, height = paper.size_mm(portrait=portrait)
    # A3 is read from further away: sizes grow by two thirds of what the sheet grows.
    scale = 1 + max(0.0, max(width, height) / A4_LONG_MM - 1) * 2 / 3
    with tempfile.TemporaryDirectory(prefix="reports-") as folder:
        root = Path(folder)
        shutil.copy(HERE / "report.typ", root)
        data: dict[str, Any] = {
            "title": _plain(title or reports[0].title),
            "width_mm": width,
            "height_mm": height,
            "scale": scale,
            "page": PAGE,
            "reports": [_report(report, root, at) for at, report in enumerate(reports)],
        }
        letters = set(json.dumps(data, ensure_ascii=False))
        data["fonts"] = families_of(letters)
        text = json.dumps(data, ensure_ascii=False)
        (root / "data.json").write_bytes(text.encode("utf-8", "replace"))
        try:
            made, _ = typst.compile_with_warnings(
                str(root / "report.typ"),
                root=folder,
                font_paths=typst_fonts(),
                timestamp=int(time_of_print(created).timestamp()),
                format="pdf",
            )
        except typst.TypstError as problem:
            raise CardError(f"The report could not be set: {problem}") from problem
    return made[0] if isinstance(made, list) else made


def _plain(text: str) -> str:
    """Return a text that can be set; its per cents stay with their numbers."""
    return settable(text, LONGEST_ON_CARD)[0].replace(" %", "\N{NO-BREAK SPACE}%")


def _report(report: Report, root: Path, at: int) -> dict[str, Any]:
    return {
        "title": _plain(report.title),
        "subtitle": _plain(report.subtitle),
        "facts": [[_plain(label), _plain(value)] for label, value in report.facts],
        "sections": [
            _section(section, root, f"drawing-{at}-{place}.svg", report.is_one_page)
            for place, section in enumerate(report.sections)
        ],
        "is_one_page": report.is_one_page,
        "is_large": report.is_large,
    }


def _section(section: Section, root: Path, file: str, is_one_page: bool) -> dict[str, Any]:
    if section.svg:
        (root / file).write_text(section.svg, "utf-8")
    return {
        "heading": _plain(section.heading),
        "sentences": [_plain(words) for words in section.sentences],
        "cautions": [_plain(words) for words in section.cautions],
        "svg": file if section.svg else "",
        "most": DRAWING_SHARE if is_one_page else 0,
        "table": _table(section.table) if section.table and section.table.rows else None,
        "numbers": [_number(number) for number in section.numbers],
    }


def _table(table: ReportTable) -> dict[str, Any]:
    """Return a table; its columns of words share the width that the others leave."""
    longest = [max(map(len, column)) for column in zip(*table.rows, strict=True)]
    return {
        "heads": list(map(_plain, table.heads)),
        "rows": [list(map(_plain, row)) for row in table.rows],
        "columns": [
            ROOM_TO_WRITE
            if at in table.by_hand
            else min(n, 60)
            if at in table.left and n > 8
            else 0
            for at, n in enumerate(longest)
        ],
        "left": list(table.left),
    }


def _number(number: Explained) -> dict[str, str]:
    value = "not computable"
    if number.value is not None:
        value = f"{figure(number.value, 3)} {number.unit}".strip()
    return {
        "name": _plain(number.name),
        "value": value,
        "where": _plain(number.where),
        "formula": _plain(number.formula),
        "worked": _plain(number.worked),
        "check": _plain(number.check),
        "source": _plain(number.source),
        "other": _plain(number.other),
    }
