"""Cards as a workbook: an overview with the load of all stations, and a sheet for each card."""

import io
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from stationflow.cards.card import Card
from stationflow.cards.code import kind_and_version
from stationflow.cards.paper import Paper, time_of_print
from stationflow.cards.picture_files import readable_picture
from stationflow.cards.said import mark_of_all
from stationflow.cards.workbook.card_sheet import EM_OF_LETTER, LINE, CardSheet
from stationflow.cards.workbook.card_workbook_styles import PAPER_CODES, Styles, as_number
from stationflow.cards.workbook.cell_text import line_count
from stationflow.errors import CardError

OPTIONS = {
    "in_memory": True,
    # Text stays text: nothing typed becomes a formula, a link or a number.
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
FIRST_ROW = 4
SHARES = (0.14, 0.1, 0.1, 0.1, 0.52)
"""Shares of the width of the overview: station, work, idle, limit, tasks."""
MARGIN_INCH = 0.4
LETTERS_PER_INCH = 13.2
"""Letters of a column an inch of paper holds: 96 / 7 pixels, less the room inside cells."""


def cards_workbook(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    created: date | None = None,
    large_print: bool = False,
) -> bytes:
    """Return the cards as a workbook with native charts, ready to be printed.

    Times stand as numbers, all words as text. A chart on the overview shows the work of every
    station against its limit, one on each sheet the tasks of the station. The same cards and day
    of making give the same bytes; None: 1970-01-01.

    Raises
    ------
    CardError
        If there are no cards.
    """
    if not cards:
        raise CardError("There are no cards to write.", "Balance the line first.")
    import xlsxwriter

    file = io.BytesIO()
    letters = (paper.size_mm(portrait=portrait)[0] / 25.4 - 2 * MARGIN_INCH) * LETTERS_PER_INCH
    with xlsxwriter.Workbook(file, OPTIONS) as book:
        first = cards[0]
        book.set_properties(
            {
                "title": f"{first.say('Station cards')} {first.product_code}, {first.line}",
                "author": first.prepared_by,
                "created": time_of_print(created),
            }
        )
        styles = Styles(book, large=large_print, to_left=first.to_left)
        names = {card.station: _sheet_name(card) for card in cards}
        overview = book.add_worksheet(first.say("Overview"))
        _page_setup(overview, first, paper, portrait)
        _overview(book, overview, cards, names, styles, letters)
        read = {
            name: readable_picture(pictures[name])
            for card in cards
            for task in card.tasks
            for name in dict.fromkeys(p.picture for p in task.pictures)
            if name in pictures
        }
        for card in cards:
            sheet = book.add_worksheet(names[card.station])
            _page_setup(sheet, card, paper, portrait)
            CardSheet(
                book=book, sheet=sheet, card=card, styles=styles, pictures=read, letters=letters
            ).fill()
    return file.getvalue()


def _sheet_name(card: Card) -> str:
    """Return the name of a card's sheet: only our own words and a number."""
    return card.say("Station {station}", station=card.station)


def _page_setup(sheet: Any, card: Card, paper: Paper, portrait: bool) -> None:
    """Set paper, direction, header and footer of a sheet."""
    sheet.set_paper(PAPER_CODES[paper])
    if portrait:
        sheet.set_portrait()
    else:
        sheet.set_landscape()
    if card.to_left:
        sheet.right_to_left()
    sheet.set_margins(left=MARGIN_INCH, right=MARGIN_INCH, top=0.5, bottom=0.7)
    sheet.fit_to_pages(1, 0)
    sheet.hide_gridlines(2)
    page = card.say("Page {page} of {pages}", page="&P", pages="&N")
    code = card.product_code[:60].replace("&", "&&")
    sheet.set_footer(f"&L{code}&R{page}")


def _overview(
    book: Any,
    sheet: Any,
    cards: Sequence[Card],
    names: Mapping[int, str],
    styles: Styles,
    letters: float,
) -> None:
    """Write the overview: what it is of, a row for each station, the chart."""
    first = cards[0]
    for column, share in enumerate(SHARES):
        sheet.set_column(column, column, share * letters)
    sheet.set_row(0, 1.6 * styles.size * LINE + 3)
    for row in range(1, FIRST_ROW):
        sheet.set_row(row, styles.size * LINE + 3)
    kind, version = kind_and_version(first.version_label)
    styles.write(sheet, 0, 0, first.product_name or first.product_code, "title")
    about = [first.product_code, first.line_label, f"{first.say(kind.capitalize())} {version}"]
    styles.write(sheet, 1, 0, "   ".join(about), "plain")
    if mark := mark_of_all(cards):
        styles.write(sheet, 2, 0, first.say(mark), "mark")
    heads = (
        first.say("station").capitalize(),
        f"{first.say('Work')} ({first.unit})",
        f"{first.say('Idle')} ({first.unit})",
        f"{first.say('Limit')} ({first.unit})",
        first.say("Task"),
    )
    for column, head in enumerate(heads):
        styles.write(sheet, FIRST_ROW - 1, column, head, "head")
    for row, card in enumerate(cards, start=FIRST_ROW):
        name = names[card.station]
        sheet.write_url(row, 0, f"internal:'{name}'!A1", styles.format("link"), name)
        work, limit = as_number(card.work), float(card.bar.limit)
        sheet.write_number(row, 1, work, styles.format("number"))
        sheet.write_formula(
            row,
            2,
            f"=MAX(0,D{row + 1}-B{row + 1})",
            styles.format("number"),
            max(0.0, limit - work),
        )
        sheet.write_number(row, 3, limit, styles.format("number"))
        tasks = "; ".join(f"{task.task} {task.name}" for task in card.tasks)
        styles.write(sheet, row, 4, tasks, "wrapped")
        lines = line_count(tasks, SHARES[4] * letters * EM_OF_LETTER / styles.scale)
        sheet.set_row(row, min(409.0, max(lines, 1) * styles.size * LINE + 3))
    sheet.freeze_panes(FIRST_ROW, 0)
    sheet.repeat_rows(FIRST_ROW - 1)
    sheet.insert_chart(
        FIRST_ROW + len(cards) + 1, 0, _all_loads(book, sheet.get_name(), cards, styles),
        {"description": first.say("Load")},
    )  # fmt: skip


def _all_loads(book: Any, sheet: str, cards: Sequence[Card], styles: Styles) -> Any:
    """Return the chart of all stations: work as columns, the limit as a line."""
    first = cards[0]
    last = FIRST_ROW + len(cards) - 1
    numbers = [sheet, FIRST_ROW, 0, last, 0]
    chart = book.add_chart({"type": "column"})
    chart.add_series(
        {
            "name": first.say("Work"),
            "categories": numbers,
            "values": [sheet, FIRST_ROW, 1, last, 1],
            "fill": {"color": styles.colour("rule")},
            "border": {"color": styles.colour("ink")},
            "gap": 40,
        }
    )
    limit = book.add_chart({"type": "line"})
    limit.add_series(
        {
            "name": first.say("Limit"),
            "categories": numbers,
            "values": [sheet, FIRST_ROW, 3, last, 3],
            "line": {"color": styles.colour("ink"), "width": 2.25, "dash_type": "dash"},
        }
    )
    chart.combine(limit)
    chart.set_title({"name": first.say("Load"), "name_font": {"size": 12 * styles.scale}})
    chart.set_y_axis({"name": first.unit, "min": 0, "major_gridlines": {"visible": False}})
    chart.set_legend({"position": "bottom"})
    chart.set_size({"width": max(720, min(1600, 48 * len(cards) + 160)), "height": 340})
    return chart
