"""The same invented lines written as different people write them: language, units, signs, order.

A way of writing is drawn from a number, so that a failure can be made again. What is written
is always the same line; a reader may ask, but may not take another one.
"""

import csv
import io
import random
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

import xlsxwriter

HEADINGS = {  # number, name, time, predecessors, remark, tool
    "en": ("No.", "Operation", "Time", "Predecessors", "Remark", "Tools"),
    "de": ("Nr.", "Arbeitsgang", "Zeit", "Vorgänger", "Bemerkung", "Werkzeug"),
    "fr": ("N°", "Désignation", "Temps", "Antériorités", "Remarque", "Outils"),
    "es": ("Nº", "Operación", "Tiempo", "Precedencias", "Observaciones", "Herramientas"),
}
UNITS = {  # milliseconds, and how people write it
    "s": (1000, ("s", "sec", "Sek.", "seg")),
    "min": (60_000, ("min", "Min.", "minutes")),
    "cmin": (600, ("cmin", "HM", "1/100 min")),
    "ms": (1, ("ms", "msec")),
    "h": (3_600_000, ("h", "Std.")),
    "tmu": (36, ("TMU",)),
}
PLACES = ("heading", "brackets", "row below", "in the cell", "column beside", "format", "nowhere")
LISTS = (",", ", ", ";", "; ", "/", " ", "+", "\n", " & ")
Line = dict[str, tuple[int, tuple[str, ...]]]  # time in ms, predecessors, by number


@dataclass(frozen=True)
class Style:
    """One way to write a line down."""

    language: str
    unit: str
    said: str  # the unit as it is written
    place: str  # where the unit stands
    decimal: str
    thousands: str
    separator: str  # of predecessors
    delimiter: str  # of the text file; empty: a workbook with typed cells
    order: tuple[int, ...]
    is_dated: bool = False  # what looks like a date became one, as "1.5" or "1/2" does


def drawn_line(draw: random.Random) -> Line:
    """Return a line of tasks whose times can be written in every unit without being rounded."""
    first, step = draw.choice(((10, 10), (1, 1), (100, 10), (5, 5)))
    prefix = draw.choice(("", "", "", "A", "OP-"))
    line: Line = {}
    for place in range(draw.randint(3, 9)):
        before = draw.sample(list(line), draw.choice((0, 1, 1, 2)) if len(line) > 1 else len(line))
        # 18 s: a whole number of 1/100 min, TMU, and 0.005 h
        time_ms = draw.choice((18_000, 9_000, 3_600)) * draw.choice((1, 2, 5, 7, 25, 100))
        line[f"{prefix}{first + place * step}"] = (
            time_ms,
            tuple(sorted(before, key=list(line).index)),
        )
    return line


def drawn_style(draw: random.Random) -> Style:
    """Return a way of writing in which no sign has two uses."""
    unit = draw.choice(list(UNITS))
    decimal = draw.choice(".,")
    delimiter = draw.choice((";", ",", "\t", "|", ""))
    order = list(range(6))
    draw.shuffle(order)
    return Style(
        language=draw.choice(list(HEADINGS)),
        unit=unit,
        said=draw.choice(UNITS[unit][1]),
        place=draw.choice(PLACES),
        decimal=decimal,
        thousands=draw.choice(("", "", " ", "'", "." if decimal == "," else ",")),
        separator=draw.choice(LISTS),
        delimiter=delimiter,
        order=tuple(order),
        is_dated=not delimiter and draw.random() < 0.3,
    )


def number_text(number: Decimal, style: Style) -> str:
    """Return a number with the signs of a style."""
    whole, _, part = f"{number.normalize():f}".partition(".")
    groups: list[str] = []
    while len(whole) > 3 and style.thousands:
        whole, groups = whole[:-3], [whole[-3:], *groups]
    return style.thousands.join([whole, *groups]) + (style.decimal + part if part else "")


def table_of(line: Line, style: Style) -> list[list[object]]:
    """Return the cells of a line in a style; for a workbook numbers are typed."""
    heads = list(HEADINGS[style.language])
    if style.place in {"heading", "brackets"}:
        heads[2] += f" {style.said}" if style.place == "heading" else f" [{style.said}]"
    rows: list[list[object]] = [heads]
    if style.place == "row below":
        rows.append(["", "", f"[{style.said}]", "", "", ""])
    for place, (number, (time_ms, before)) in enumerate(line.items()):
        amount = Decimal(time_ms) / UNITS[style.unit][0]
        time: object = number_text(amount, style)
        if not style.delimiter and style.place != "in the cell":
            time = float(amount)
        if style.place == "in the cell":
            time = f"{time} {style.said}"
        listed: object = style.separator.join(before)
        rows.append([number, f"Fit part {place + 1}", time, listed, "", ""])
    if style.place == "column beside":
        for row, said in zip(rows, ["Unit", *[style.said] * len(line)], strict=True):
            row[5] = said
    return [[row[place] for place in style.order] for row in rows]


def written(line: Line, style: Style) -> bytes:
    """Return the file of a line in a style."""
    rows = table_of(line, style)
    if style.delimiter:
        out = io.StringIO()
        csv.writer(out, delimiter=style.delimiter).writerows(rows)
        return out.getvalue().encode("utf-8")
    return _workbook(rows, style)


def _workbook(rows: Sequence[Sequence[object]], style: Style) -> bytes:
    """Return a workbook whose times are typed numbers, some of them become dates."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Sheet1")
        shown = book.add_format({"num_format": f'#,##0.000 "{style.said}"'})
        dated = book.add_format({"num_format": "d-mmm"})
        for at, row in enumerate(rows):
            for place, cell in enumerate(row):
                is_shown = style.place == "format" and isinstance(cell, float)
                date = _date(cell, style) if style.is_dated else None
                if at and date is not None:
                    sheet.write_datetime(at, place, date, dated)
                else:
                    sheet.write(at, place, cell, shown if is_shown else None)
    return out.getvalue()


def _date(cell: object, style: Style) -> datetime | None:
    """Return the date that a spreadsheet program makes of a cell; None: it makes none."""
    match = re.fullmatch(r"(\d{1,2})[./,] ?(\d{1,2})", f"{cell}")
    if match is None or (isinstance(cell, float) and style.place == "format"):
        return None
    month, day = int(match[1]), int(match[2])
    return datetime(2026, month, day) if 1 <= month <= 12 and 1 <= day <= 28 else None  # noqa: DTZ001
