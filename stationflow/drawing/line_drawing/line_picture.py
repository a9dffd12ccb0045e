"""The drawing of the line as SVG: what an engineer pins to the wall, legible in black and white."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from stationflow.drawing.line_drawing.line_content import (
    NO_NOTES,
    PART,
    DrawnLine,
    DrawnStation,
    Mark,
    Notes,
    Symbol,
    drawn_lines,
    in_overview,
)
from stationflow.drawing.line_drawing.line_layout import (
    OVERVIEW,
    PLACES,
    WALL,
    Box,
    Form,
    Row,
    laid_out,
)
from stationflow.drawing.line_drawing.svg_parts import Svg
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.text_size import shortened, text_width, wrapped
from stationflow.model import Product
from stationflow.model.product_plan import ProductPlan
from stationflow.model.schema.cells import one_line
from stationflow.pace.figures import figure

EDGE = 24.0
TITLE_HEIGHT = 58.0
LEAST = 900.0  # width of a drawing: the list of positions takes two columns
LARGE = 17.0  # size of the name of the product
LINE_HEIGHT = 13.5
LIST_COLUMN = 420.0
LIST_ROOM = LIST_COLUMN - 58  # for words beside the code
SCALE_BARS_M = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
WAY = 22.0  # of the arrow into and out of the main line
SAMPLE, SAMPLE_HEIGHT, SAMPLE_GAP = 34.0, 28.0, 22.0  # a sign of the legend; between two of them
LOAD_WORDS = "load of a station; full: the limit; hatched: over it"
HALL_GAP = 40.0  # for the dimensions below a line
SIGNS = {
    Symbol.MACHINE: "machine",
    Symbol.TEST: "test",
    Symbol.INSPECTION: "inspection",
    Symbol.REPAIR: "repair",
    Symbol.SOAK: "soak",
    Symbol.JOIN: "further join",
    Symbol.PACKING: "packing",
}


def line_picture(
    product: Product,
    plan: ProductPlan,
    notes: Notes = NO_NOTES,
    *,
    said: str = "",
    with_list: bool = True,
    inks: Inks = ON_PAPER,
) -> str:
    """Return the drawing of all lines of a product as SVG.

    Parameters
    ----------
    notes
        What the figures of the whole line say of lines, machines, tests and soaks.
    said
        What stands below the title: version, date.
    with_list
        Whether title and list of positions are drawn too: a page shows them itself.
    """
    lines = drawn_lines(product, plan, notes)
    top = TITLE_HEIGHT if with_list else 30.0
    return _Picture(product, laid_out(lines), lines, inks, top).drawn(said, with_list)


def line_overview(product: Product, plan: ProductPlan) -> str:
    """Return all lines as SVG without names and scale, to be read at the width of a page."""
    lines = [in_overview(line) for line in drawn_lines(product, plan)]
    return _Picture(product, laid_out(lines, OVERVIEW), lines, ON_PAPER, 0.0, OVERVIEW).drawn()


@dataclass(frozen=True, slots=True)
class Place:
    """A point of the drawing."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Sample:
    """A sign of the legend, drawn with its left edge and middle at a point, and what it means."""

    words: str
    draw: Callable[[Place], None]


class _Picture:
    """Draws the rows, the title, and the list of positions below them."""

    def __init__(
        self,
        product: Product,
        rows: Sequence[Row],
        lines: Sequence[DrawnLine],
        inks: Inks,
        top: float,
        form: Form = WALL,
    ) -> None:
        self.product, self.inks, self.form = product, inks, form
        self.high, self.small, self.usual = form.box_height, form.small, form.usual
        self.svg = Svg()
        self.lines = lines
        self.top = EDGE + top
        self.rows = [row.moved(EDGE, self.top) for row in rows]
        self.marks = [mark for line in lines for mark in line.marks()]

    def drawn(self, said: str = "", with_list: bool = False) -> str:
        """Return the SVG."""
        edges = [row.edges for row in self.rows]
        halls = [self.hall_end(row) for row in self.rows]
        width = max([LEAST, *(right + 2 * EDGE for _, _, right, _ in edges), *halls])
        bottom = max([self.top, *(low for _, _, _, low in edges)]) + (
            EDGE if self.form.is_overview else HALL_GAP
        )
        columns = max(1, int((width - 2 * EDGE) // LIST_COLUMN))
        marks = self.marks if with_list else []
        listed = [wrapped(mark.words, LIST_ROOM, self.small, 2) for mark in marks]
        step = (1.2 + max(map(len, listed), default=1)) * LINE_HEIGHT
        each = -(-len(listed) // columns)
        legend = self.legend(width - 2 * EDGE)
        listed_at = bottom + 32.0 + len(legend) * SAMPLE_HEIGHT
        height = listed_at + each * step + (EDGE if with_list else -20.0)
        ink = self.inks
        self.svg.rect(0, 0, width, height, fill=ink.ground)
        if with_list:
            self.svg.rect(8, 8, width - 16, height - 16, fill="none", stroke=ink.idle_edge)
        self.title(said, width, with_list)
        for row in self.rows:
            self.row(row)
        self.write_legend(legend, bottom, width)
        for at, (mark, words) in enumerate(zip(marks, listed, strict=True)):
            column, line = divmod(at, each)
            x = EDGE + column * (width - 2 * EDGE) / columns
            self.listed(mark, words, Place(x, listed_at + line * step))
        title = f"Drawing of the line, {self.product.code} {self.product.name}"
        return self.svg.written(width, height, title, self.patterns(), ink.ink)

    def hall_end(self, row: Row) -> float:
        """Return how wide the drawing is for the room there is for a line to fit on it."""
        hall = row.drawn.line.hall_m
        if not hall or row.scale is None or row.drawn.length_m is None:
            return 0.0
        return row.x + self.form.label + min(hall, 2 * row.drawn.length_m) * row.scale + 2 * EDGE

    def patterns(self) -> str:
        """Return the hatches: they say in black and white what a colour would."""
        return (
            '<pattern id="soak" width="7" height="7" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="7" '
            f'stroke="{self.inks.idle_edge}" stroke-width="1.2"/></pattern>'
            '<pattern id="over" width="4" height="4" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(-45)"><line x1="0" y1="0" x2="0" y2="4" '
            f'stroke="{self.inks.over}" stroke-width="2.4"/></pattern>'
        )

    def title(self, said: str, width: float, with_name: bool) -> None:
        """Write the title block."""
        room = width - 2 * EDGE - 260
        words, y = self.scale_words(), EDGE + 6
        if with_name:
            name = shortened(one_line(f"{self.product.code}  {self.product.name}"), room, LARGE)
            self.svg.text(EDGE, EDGE + 18, name, LARGE, font_weight="bold")
            words, y = f"Drawing of the line. {words} {said}".strip(), EDGE + 37
        self.svg.text(EDGE, y, shortened(words, room, self.usual), self.usual)
        scale = self.scale
        if scale:
            bar = max((m for m in SCALE_BARS_M if m * scale <= 200), default=SCALE_BARS_M[0])
            right, y = width - EDGE - 8, EDGE + (16 if with_name else 0)
            left = right - bar * scale
            self.svg.line(left, y, right, y, stroke=self.inks.ink, stroke_width=2)
            for x in (left, right):
                self.svg.line(x, y - 5, x, y + 5, stroke=self.inks.ink, stroke_width=1.4)
            middle = (left + right) / 2
            self.svg.text(middle, y + 17, f"{figure(bar)} m", self.usual, text_anchor="middle")

    @property
    def scale(self) -> float | None:
        """Pixels in a metre of the lines to scale; None: none is."""
        return next((row.scale for row in _all(self.rows) if row.scale), None)

    def scale_words(self) -> str:
        """Say which lines are to scale."""
        rows = list(_all(self.rows))
        drawn = [row for row in rows if not row.drawn.without]
        without = dict.fromkeys(row.drawn.line.label for row in drawn if not row.scale)
        if self.form.is_overview:
            return ""  # a report says so
        if not self.scale:
            return "Not to scale: no pitch is entered, or lengths differ too much."
        if not without:
            return "To scale along the lines."
        return f"To scale along the lines but {', '.join(without)}: no pitch is entered there."

    def row(self, row: Row) -> None:
        """Draw a line with its feeders."""
        for feeder in row.feeders:
            self.row(feeder)
            self.arrow_to_join(feeder)
        self.label(row)
        boxes = row.boxes
        for box, following in zip(boxes, (*boxes[1:], None), strict=True):
            self.box(row, box)
            if following is not None:
                self.between(row, box, following)
        if row.drawn.line.copies > 1:
            self.svg.path(
                (boxes[0].x + 5, row.y - 5),
                (boxes[-1].x + boxes[-1].width + 5, row.y - 5),
                (boxes[-1].x + boxes[-1].width + 5, row.y + self.high - 5),
                stroke=self.inks.ink,
            )
        if not row.join:
            end = boxes[-1].x + boxes[-1].width
            self.arrow(Place(end, row.y + self.high / 2), Place(end + WAY, row.y + self.high / 2))
            self.dimensions(row)

    def label(self, row: Row) -> None:
        """Write what stands before a line, and the arrow into it."""
        title, *rest = row.drawn.caption.split(PART)
        if row.first:
            rest = [f"from station {row.drawn.stations[0].number} on"]
        y = row.y + 12
        room = self.form.label - 14
        for words in wrapped(title, room, self.usual, 2):
            self.svg.text(row.x, y, words, self.usual, font_weight="bold")
            y += LINE_HEIGHT
        for part in rest:
            for words in wrapped(part, room, self.small, 3):
                self.svg.text(row.x, y, words, self.small)
                y += LINE_HEIGHT - 1
        middle = row.y + self.high - 12
        self.arrow(Place(row.boxes[0].x - WAY, middle), Place(row.boxes[0].x, middle))

    def box(self, row: Row, box: Box) -> None:
        """Draw one box of a line."""
        ink = self.inks
        if box.station is not None:
            with self.svg.group(box.station.tip):
                self.station(row, box, box.station)
        elif box.mark is not None:
            with self.svg.group(f"{box.mark.name}: {box.mark.words}"):
                look = {"fill": ink.ground, "stroke": ink.ink}
                inner = {"rx": 5, "fill": "none", "stroke": ink.ink}
                self.svg.rect(box.x, row.y, box.width, self.high, rx=8, stroke_width=2, **look)
                self.svg.rect(box.x + 4, row.y + 4, box.width - 8, self.high - 8, **inner)
                y = self.high / 2 if self.form.is_overview else 20
                self.sign(box.mark, Place(box.x + box.width / 2, row.y + y))
                self.names(box, row.y + self.high - 12, box.mark.name, self.high - 56)
        else:
            self.svg.rect(
                box.x, row.y, box.width, self.high, fill=ink.ground, stroke=ink.ink,
                stroke_dasharray="5 4",
            )  # fmt: skip
            rows = wrapped(box.words, box.width - 12, self.usual, 4)
            y = row.y + self.high / 2 - LINE_HEIGHT * (len(rows) - 1) / 2 + 4
            for words in rows:
                self.svg.text(box.x + box.width / 2, y, words, self.usual, text_anchor="middle")
                y += LINE_HEIGHT

    def station(self, row: Row, box: Box, station: DrawnStation) -> None:
        """Draw a station: number, load against the limit, its longest task, positions below."""
        ink, svg = self.inks, self.svg
        middle = box.x + box.width / 2
        seen = {"class": "middle"} if row.drawn.line.is_main else {}  # where a page looks first
        if station.copies > 1:
            svg.rect(box.x + 3, row.y - 4, box.width - 1, self.high, fill="none", stroke=ink.ink)
        svg.rect(box.x, row.y, box.width, self.high, fill=ink.ground, **seen)
        if station.is_soak:
            svg.rect(box.x + 1, row.y + 46, box.width - 2, self.high - 47, fill="url(#soak)")
        right, low = box.x + box.width, row.y + self.high
        corners = ((box.x, row.y), (right, row.y), (right, low), (box.x, low))
        svg.path(*corners, closed=True, stroke=ink.ink)  # a path: what is found is outlined
        number = f"{station.number}" + (f" x{station.copies}" if station.copies > 1 else "")
        svg.text(
            middle, row.y + 16, number, self.form.number, text_anchor="middle", font_weight="bold"
        )
        self.load(Place(box.x + 4, row.y + 21), box.width - 8, station.share)
        if not self.form.is_overview:
            svg.text(middle, row.y + 42, figure(station.load, 1), self.small, text_anchor="middle")
            svg.line(box.x, row.y + 47, right, row.y + 47, stroke=ink.ink, stroke_width=0.6)
        self.names(box, row.y + self.high - 7, station.name, self.high - 60, station.is_soak)
        step = self.form.mark_height
        heights = [low + step * (at + 0.5) + 2 for at in range(len(station.marks))]
        for y in heights:
            svg.line(middle, y - step / 2 - 2, middle, y, stroke=ink.ink)
        for mark, y in zip(station.marks, heights, strict=True):
            self.sign(mark, Place(middle, y))

    def load(self, at: Place, width: float, share: float | None) -> None:
        """Draw the load as a bar that is full at the limit; what is over it is hatched."""
        ink = self.inks
        look = {"stroke": ink.ink, "stroke_width": 0.8}
        self.svg.rect(at.x, at.y, width, 7, fill=ink.ground, **look)
        if share is not None:
            fill = "url(#over)" if share > 1 + 1e-9 else ink.idle_edge
            self.svg.rect(at.x, at.y, width * min(share, 1.0), 7, fill=fill, **look)

    def names(self, box: Box, y: float, name: str, room: float, on_hatch: bool = False) -> None:
        """Write a name upwards, on as many lines as the box is wide, at most three."""
        if self.form.is_overview:
            return
        lines = max(1, min(3, int((box.width - 5) // (LINE_HEIGHT - 1.5))))
        rows = wrapped(one_line(name), room, self.small, lines)
        step = LINE_HEIGHT - 1.5
        x = box.x + box.width / 2 - step * (len(rows) - 1) / 2 + self.small * 0.36
        for at, words in enumerate(rows):
            if on_hatch:
                height = text_width(words, self.small) + 4
                left = x + at * step - self.small * 0.9
                self.svg.rect(left, y - height + 2, self.small * 1.3, height, fill=self.inks.ground)
            self.svg.upwards(x + at * step, y, words, self.small)

    def between(self, row: Row, box: Box, following: Box) -> None:
        """Draw what lies between two boxes: places where units wait, or an arrow."""
        middle = row.y + self.high / 2
        start, end = Place(box.x + box.width, middle), Place(following.x, middle)
        waiting = box.station.places_after if box.station else 0
        if waiting and row.drawn.line.waits_beside:
            self.waiting(Place(start.x - PLACES / 2, row.y - 11), waiting)
        elif end.x - start.x < 1:
            return
        elif waiting:
            self.waiting(Place((start.x + end.x) / 2, middle), waiting)
        else:
            self.arrow(start, end)

    def waiting(self, at: Place, places: int | str) -> None:
        """Draw the sign for places where units wait: a triangle with their number."""
        half = PLACES / 2 - 1
        self.svg.path(
            (at.x - half, at.y + 9), (at.x, at.y - 13), (at.x + half, at.y + 9),
            closed=True, fill=self.inks.ground, stroke=self.inks.ink,
        )  # fmt: skip
        size = self.small if len(f"{places}") < 3 else self.small - 2.5
        self.svg.text(at.x, at.y + 6.5, f"{places}", size, text_anchor="middle")

    def arrow_to_join(self, row: Row) -> None:
        """Draw the way of a feeder's units to the station that takes them."""
        assert row.join is not None
        x, y = row.join
        start = row.boxes[-1].x + row.boxes[-1].width
        middle = row.y + self.high / 2
        self.svg.path((start, middle), (x, middle), (x, y), stroke=self.inks.ink, stroke_width=1.6)
        self.head(Place(x, y), down=row.is_above)
        if row.drawn.line.buffer_places:
            self.waiting(Place(start + PLACES / 2 + 3, middle), row.drawn.line.buffer_places)

    def arrow(self, start: Place, end: Place) -> None:
        """Draw an arrow to the right."""
        self.svg.line(start.x, start.y, end.x, end.y, stroke=self.inks.ink, stroke_width=1.6)
        self.svg.path(
            (end.x, end.y), (end.x - 7, end.y - 4), (end.x - 7, end.y + 4),
            closed=True, fill=self.inks.ink,
        )  # fmt: skip

    def head(self, at: Place, *, down: bool) -> None:
        """Draw the head of an arrow into a station."""
        back = -7 if down else 7
        self.svg.path(
            (at.x, at.y), (at.x - 4, at.y + back), (at.x + 4, at.y + back),
            closed=True, fill=self.inks.ink,
        )  # fmt: skip

    def sign(self, mark: Mark, at: Place) -> None:
        """Draw the symbol of a position with its number."""
        look = {"fill": self.inks.ground, "stroke": self.inks.ink, "stroke_width": 1.2}
        x, y, svg = at.x, at.y, self.svg
        match mark.symbol:
            case Symbol.TEST | Symbol.INSPECTION:
                corners = ((x - 14, y), (x, y - 13), (x + 14, y), (x, y + 13))
                width = 1.2 if mark.symbol == Symbol.INSPECTION else 2.2
                svg.path(*corners, closed=True, **{**look, "stroke_width": width})
            case Symbol.JOIN:
                svg.rect(x - 12, y - 11, 24, 22, rx=11, **look)
            case Symbol.REPAIR:
                svg.rect(x - 13, y - 10, 26, 20, rx=6, stroke_dasharray="4 2", **look)
            case Symbol.SOAK:
                svg.rect(x - 14, y - 11, 28, 22, **look)
                svg.rect(x - 14, y - 11, 28, 22, fill="url(#soak)")
                svg.rect(x - 9, y - 6, 18, 13, fill=self.inks.ground)
            case Symbol.MACHINE:
                svg.rect(x - 14, y - 11, 28, 22, **look)
                svg.rect(x - 11, y - 8, 22, 16, **{**look, "stroke_width": 0.8})
            case Symbol.PACKING:
                svg.rect(x - 14, y - 11, 28, 18, **look)
                for foot in (-12, 0, 12):
                    svg.rect(x + foot - 2, y + 7, 4, 4, fill=self.inks.ink)
                y -= 2
        svg.text(x, y + 3.6, mark.code, self.small, text_anchor="middle", font_weight="bold")

    def dimensions(self, row: Row) -> None:
        """Draw how long the line is, and the room that there is for it."""
        length, line = row.drawn.length_m, row.drawn.line
        if length is None or row.scale is None or row.is_cut:
            return
        first = next(box for box in row.boxes if box.station)
        y = max(edge for _, _, _, edge in (row.edges,)) + 16
        told = row.drawn.told_m or length
        self.dimension(first.x, length * row.scale, y, f"{figure(told, 2)} m")
        if line.hall_m:
            over = told > line.hall_m
            said = f"room for it {figure(line.hall_m, 2)} m" + (": too short" if over else "")
            shown = min(line.hall_m, 2 * length)  # of a larger hall a part is drawn
            self.dimension(first.x, shown * row.scale, y + 17, said, over=over)

    def dimension(self, x: float, width: float, y: float, words: str, over: bool = False) -> None:
        """Draw a dimension line with its words."""
        ink = self.inks.over if over else self.inks.ink
        self.svg.line(x, y, x + width, y, stroke=ink, stroke_width=0.9)
        for end in (x, x + width):
            self.svg.line(end - 3, y + 4, end + 3, y - 4, stroke=ink, stroke_width=1.2)
        room = text_width(words, self.small) + 10
        self.svg.rect(x + width / 2 - room / 2, y - 6, room, 12, fill=self.inks.ground)
        self.svg.text(x + width / 2, y + 3.5, words, self.small, text_anchor="middle", fill=ink)

    def legend(self, width: float) -> list[list[Sample]]:
        """Return what says what the signs mean, as far as they are used, in rows so wide."""
        waits = any(row.drawn.line.buffer_places for row in _all(self.rows)) or any(
            station.places_after
            for line in self.lines
            for part in line.all()
            for station in part.stations
        )
        below = "" if self.form.is_overview else ". Number below: work in s"
        samples = [Sample(LOAD_WORDS + below, lambda at: self.load(Place(at.x, at.y - 4), 28, 0.7))]
        if waits:
            words = "places where units wait"
            samples.append(Sample(words, lambda at: self.waiting(Place(at.x + 14, at.y), "n")))
        for symbol in dict.fromkeys(mark.symbol for mark in self.marks):
            mark = Mark(symbol=symbol, code=symbol.value, name="", words="")
            samples.append(Sample(SIGNS[symbol], partial(self.sample_of, mark)))
        rows: list[list[Sample]] = [[]]
        room = 0.0
        for sample in samples:
            needed = SAMPLE + text_width(sample.words, self.small)
            if rows[-1] and room + needed > width:
                rows.append([])
                room = 0.0
            rows[-1].append(sample)
            room += needed + SAMPLE_GAP
        return rows

    def sample_of(self, mark: Mark, at: Place) -> None:
        """Draw a sign as the legend shows it."""
        self.sign(mark, Place(at.x + 14, at.y))

    def write_legend(self, rows: Sequence[Sequence[Sample]], y: float, width: float) -> None:
        """Say what the signs mean."""
        self.svg.line(EDGE, y + 4, width - EDGE, y + 4, stroke=self.inks.idle_edge)
        for row, samples in enumerate(rows):
            at = Place(EDGE, y + 22 + row * SAMPLE_HEIGHT)
            for sample in samples:
                sample.draw(at)
                self.svg.text(at.x + SAMPLE, at.y + 4, sample.words, self.small)
                at = Place(at.x + SAMPLE + text_width(sample.words, self.small) + SAMPLE_GAP, at.y)

    def listed(self, mark: Mark, words: Sequence[str], at: Place) -> None:
        """Write one position of the list."""
        self.svg.text(at.x, at.y, mark.code, self.small, font_weight="bold")
        name = shortened(one_line(mark.name), LIST_ROOM, self.small)
        for line, text in enumerate((name, *words)):
            look = {} if line else {"font_weight": "bold"}
            self.svg.text(at.x + 30, at.y + 11.5 * line, text, self.small, **look)


def _all(rows: Sequence[Row]) -> list[Row]:
    """Return the rows with all that feed them."""
    return [each for row in rows for each in (row, *_all(row.feeders))]
