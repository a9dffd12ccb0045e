"""One sheet of the workbook: the card of one station, row by row, with its load chart."""

import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stationflow.cards import said
from stationflow.cards.card import Card, CardCheck, CardPicture, CardTask
from stationflow.cards.workbook.card_workbook_styles import Styles, as_number
from stationflow.cards.workbook.cell_text import in_pieces, line_count

SHARES = (0.06, 0.26, 0.2, 0.2, 0.09, 0.19)
"""Shares of the width: number, step, key point, reason, time, picture."""
EM_OF_LETTER = 0.55
"""Width of a letter the columns are counted in (a digit), in em; with the room inside a cell."""
LINE = 1.36
"""Height of a line in a cell against the size of the text."""
MOST_LINES = 18
"""Lines of a cell from which on text goes on in the next row; a row is at most 409 points tall."""
POINTS_OF_LETTER = 5.0
"""Width of a letter of a column in points, a little less than it is."""
PICTURE = 120.0
"""Height of a picture in points."""
LAST = len(SHARES) - 1


@dataclass(kw_only=True)
class CardSheet:
    """Fills the sheet of one card from the top."""

    book: Any
    sheet: Any
    card: Card
    styles: Styles
    # pictures that can be read: bytes, width / height, kind
    pictures: Mapping[str, tuple[bytes, float, str] | None]
    letters: float  # width of the printed page in letters
    row: int = 0
    tallest: dict[int, float] = field(default_factory=dict)

    def fill(self) -> None:
        """Write the whole card."""
        for column, share in enumerate(SHARES):
            self.sheet.set_column(column, column, share * self.letters)
        self.head()
        self.cautions()
        self.heads()
        for task in self.card.tasks:
            self.task(task)
        self.total()
        self.supply()
        for remark in self.card.remarks:
            self.wide(self.card.say("Note: {remark}", remark=remark), "remark")
        self.load_chart()
        self.foot()
        self.sheet.repeat_rows(0, 2)

    # ------------------------------------------------------------ rows

    def room(self, column: int, upto: int | None = None) -> float:
        """Return the width of a column, or of several, in em of the text."""
        letters = sum(SHARES[column : (upto or column) + 1]) * self.letters
        return letters * EM_OF_LETTER / self.styles.scale

    def cells(
        self, texts: Mapping[int, str], look: str, upto: Mapping[int, int] | None = None
    ) -> None:
        """Write texts side by side, in as many rows as the longest needs.

        `upto`: the last column of a text that reaches over several.
        """
        upto = upto or {}
        cut = {
            column: in_pieces(text, self.room(column, upto.get(column)), MOST_LINES) or [""]
            for column, text in texts.items()
        }
        for n in range(max(len(pieces) for pieces in cut.values())):
            lines = 1
            for column, pieces in cut.items():
                text = pieces[n] if n < len(pieces) else ""
                last = upto.get(column, column)
                if last > column:
                    self.sheet.merge_range(
                        self.row, column, self.row, last, "", self.styles.format(look)
                    )
                self.styles.write(self.sheet, self.row, column, text, look)
                lines = max(lines, line_count(text, self.room(column, last)))
            self.tall(lines, look)
            self.row += 1

    def tall(self, lines: int, look: str = "plain", least: float = 0.0) -> None:
        """Set the height of the row for so many lines of text."""
        size = self.styles.format(look).font_size
        self.heighten(self.row, max(lines * size * LINE + 3, least))

    def heighten(self, row: int, height: float) -> None:
        """Make a row at least so many points tall."""
        self.tallest[row] = min(409.0, max(height, self.tallest.get(row, 0.0)))
        self.sheet.set_row(row, self.tallest[row])

    def wide(self, text: str, look: str) -> None:
        """Write a text over the whole width."""
        self.cells({0: text}, look, {0: LAST})

    def number(self, column: int, printed: str, look: str) -> None:
        """Write a printed time as a number with the decimals it is printed with."""
        decimals = len(printed.replace(",", ".").partition(".")[2])
        form = self.styles.format(look, decimals=decimals)
        self.sheet.write_number(self.row, column, as_number(printed), form)

    # ------------------------------------------------------------ parts of the card

    def head(self) -> None:
        """Write what the card is of."""
        card, styles = self.card, self.styles
        self.sheet.merge_range(0, 0, 1, 0, "", styles.format("badge"))
        self.sheet.write_number(0, 0, card.station, styles.format("badge"))
        name = card.product_name or card.product_code
        self.row = 0
        first = in_pieces(name, self.room(1, 4) / 1.6, 3)
        styles.write(self.sheet, 0, 1, first[0] + ("…" if len(first) > 1 else ""), "title")
        self.tall(1, "title")
        of = card.say("of {stations}", stations=card.stations)
        station = f"{card.say('Station {station}', station=card.station)} {of}"
        styles.write(
            self.sheet, 1, 1, f"{station}   {card.product_code}   {card.line_label}", "plain"
        )
        self.row = 1
        self.tall(1, least=20)
        facts = [f"{fact.name} {fact.value}" for fact in card.facts]
        self.row = 2
        self.cells({1: "   ".join((*facts, *said.tags(card)))}, "bold", {1: LAST})
        if len(first) > 1:
            self.wide(name, "bold")
        mark, warning = said.band(card)
        if mark:
            self.wide(f"{mark}: {warning}", "band")

    def cautions(self) -> None:
        """Write cautions and what has to be worn, in words."""
        card = self.card
        if not card.cautions:
            return
        self.wide(card.say("Cautions"), "section")
        for caution in card.cautions:
            self.cells(
                {0: "\N{WARNING SIGN}", 1: caution.title, 2: " ".join(caution.texts)},
                "bold",
                {2: LAST},
            )
        if card.protection:
            worn = ", ".join(p.word for p in card.protection)
            self.cells({1: card.say("Protective equipment"), 2: worn}, "bold", {2: LAST})
        self.wide(card.defer, "italic")

    def heads(self) -> None:
        """Write the heads of the columns."""
        say = self.card.say
        words = ("", "Important step", "Key point", "Reason", "Time", "Picture")
        texts = {n: say(word) if word else "" for n, word in enumerate(words)}
        texts[4] = f"{texts[4]} ({self.card.unit})"
        self.cells(texts, "head")

    def task(self, task: CardTask) -> None:
        """Write a task: heading, steps, checks, its pictures in the last column."""
        card = self.card
        start = self.row
        self.cells(
            {
                0: str(task.number),
                1: f"{task.name} ({said.heading_note(card, task)})",
                4: "",
                5: "",
            },
            "task",
            {1: 3},
        )
        end, self.row = self.row, start
        self.number(4, task.time, "time")
        self.row = end
        times = said.model_times(card, task.model_times)
        if times:
            self.cells({1: "   ".join(times)}, "wrapped", {1: 3})
        left = {picture.number: picture for picture in task.pictures}
        for step in task.steps:
            place = self.row
            texts = [said.step_text(step, name) for _, name in said.COLUMNS]
            self.cells(dict(enumerate([step.number, *texts])), "wrapped")
            if step.number in left:
                self.picture(left.pop(step.number), place)
        for check in task.checks:
            self.check(check)
        for picture in left.values():
            self.row += 1
            self.picture(picture, self.row - 1)

    def check(self, check: CardCheck) -> None:
        """Write a check: what and limit, how, what if it fails."""
        what, how, fails = said.check_words(self.card, check)
        self.cells({0: "\N{CHECK MARK}", 1: "\n".join(what), 2: how, 3: fails}, "check")

    def picture(self, picture: CardPicture, row: int) -> None:
        """Put a picture into the last column of a row that is made tall enough."""
        read = self.pictures.get(picture.picture)
        if read is None:
            self.styles.write(self.sheet, row, LAST, picture.missing, "check_plain")
            return
        data, ratio, kind = read
        height = min(PICTURE, SHARES[LAST] * self.letters * POINTS_OF_LETTER / ratio)
        pixels = height * 96 / 72
        from PIL import Image

        with Image.open(io.BytesIO(data)) as shown:
            scale = pixels / shown.height * (shown.info.get("dpi", (96, 96))[1] or 96) / 96
        self.heighten(row, height + 6)
        options = {
            "image_data": io.BytesIO(data),
            "x_scale": scale,
            "y_scale": scale,
            "x_offset": 3,
            "y_offset": 3,
            "object_position": 1,
            "description": picture.text[:500],
        }
        self.sheet.insert_image(row, LAST, f"picture.{kind}", options)

    def total(self) -> None:
        """Write the work of the station."""
        start = self.row
        self.cells(
            {0: "", 1: self.card.say("Work of this station"), 4: "", 5: ""}, "section", {1: 3}
        )
        end, self.row = self.row, start
        self.number(4, self.card.work, "total")
        self.row = end
        works = said.model_times(self.card, self.card.model_work)
        if works:
            self.cells({1: "   ".join(works)}, "wrapped", {1: 3})

    def supply(self) -> None:
        """Write parts and tools."""
        for title, heads, rows in said.supply(self.card):
            self.row += 1
            self.wide(title, "section")
            start = 0 if len(heads) > 2 else 1  # quantities stand below the numbers of the steps
            self.cells(dict(enumerate(heads, start=start)), "head")
            for row in rows:
                self.cells(dict(enumerate(row, start=start)), "wrapped")

    def load_chart(self) -> None:
        """Draw the tasks as one bar against the limit, from numbers on this sheet."""
        card, bar = self.card, self.card.bar
        words = said.load_words(card)
        self.row += 1
        self.wide(f"{words}   {bar.limit_label}", "section")
        top = self.row
        column = 8  # beside what is printed
        for place, segment in enumerate(bar.segments):
            self.styles.write(self.sheet, top + place, column, f"{segment.number}", "plain")
            self.sheet.write_number(top + place, column + 1, float(segment.end - segment.start))
        idle = float(bar.limit - (bar.segments[-1].end if bar.segments else 0))
        last = top + len(bar.segments)
        self.styles.write(self.sheet, last, column, card.say("Idle"), "plain")
        self.sheet.write_number(last, column + 1, max(idle, 0.0))
        chart = self.book.add_chart({"type": "bar", "subtype": "stacked"})
        name = self.sheet.get_name()
        for place in range(last - top + 1):
            is_idle = place == last - top
            dark = "rule" if place % 2 else "tint"
            chart.add_series(
                {
                    "name": [name, top + place, column],
                    "values": [name, top + place, column + 1, top + place, column + 1],
                    "fill": {"none": True} if is_idle else {"color": self.styles.colour(dark)},
                    "border": {
                        "color": self.styles.colour("ink"),
                        **({"dash_type": "dash"} if is_idle else {}),
                    },
                    "gap": 30,
                    "data_labels": {"series_name": True, "value": True, "separator": "\n"},
                }
            )
        chart.set_title({"none": True})
        chart.set_legend({"none": True})
        chart.set_y_axis({"visible": False, "major_gridlines": {"visible": False}})
        chart.set_x_axis(
            {
                "min": 0,
                "max": max(float(bar.limit), as_number(card.work), 0.1),
                "major_gridlines": {"visible": False},
                "name": card.unit,
            }
        )
        chart.set_size({"width": 1080, "height": 150})
        self.sheet.insert_chart(
            top, 0, chart, {"description": f"{words}, {bar.limit_label}", "object_position": 2}
        )
        self.row = top + 8

    def foot(self) -> None:
        """Write who prepared and approved the card, and what its code says."""
        card = self.card
        self.cells(
            {
                0: "",
                1: f"{card.say('Prepared by')}: {card.prepared_by}",
                2: f"{card.say('Approved by')}: {card.approved_by}",
                3: card.say("Date, signature"),
            },
            "check_plain",
        )
        self.wide("   ".join(card.code.words), "plain")
        self.sheet.print_area(0, 0, self.row - 1, LAST)
