"""Where each line of the drawing lies: feeders above and below the line they join.

A feeder ends just left of its join and an arrow goes on from there. Feeders are placed by their
joins from left to right, each next to the line where there is room, else one level further
away: so no arrow ever crosses a feeder.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stationflow.drawing.line_drawing.line_content import DrawnLine, DrawnStation, Mark

LEAST_WIDTH = 30.0  # of a station to scale: number, load and two lines of its name
WIDEST = 260.0
LONGEST = 4200.0  # of a row to scale: what is longer is drawn without
MOST_IN_ROW = 40  # stations; a longer main line goes on in the row below
MARK_WIDTH = 28.0
PLACES = 24.0  # width of the sign for places where units wait
BESIDE = 34.0  # between two feeders side by side
END = 14.0  # from the last station of a feeder to its arrow
APART = 13.0  # between the arrows of two feeders into one station


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How large what is drawn is, in pixels; an overview has neither names nor a scale."""

    box_height: float
    station_width: float  # without a scale
    label: float  # width of the words before a line
    mark_height: float
    drop: float  # between a line and the feeder next to it
    without: float  # width of what stands for a line without stations
    small: float  # size of text beside, below and in the stations
    usual: float
    number: float  # size of the number of a station
    is_overview: bool = False


WALL = Form(
    box_height=172.0, station_width=46.0, label=132.0, mark_height=30.0, drop=26.0, without=110.0,
    small=9.5, usual=11.0, number=13.0,
)  # fmt: skip
OVERVIEW = Form(
    box_height=32.0, station_width=31.0, label=110.0, mark_height=26.0, drop=14.0, without=150.0,
    small=12.0, usual=14.0, number=16.0, is_overview=True,
)  # fmt: skip
"""To be read at the width of a page upright."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A station, a machine ahead of the line, packing, or what stands for a missing plan."""

    x: float
    width: float
    station: DrawnStation | None = None
    mark: Mark | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line, or a part of one, with its upper left corner and all that joins it."""

    drawn: DrawnLine
    form: Form
    x: float
    y: float  # of the top of its boxes
    width: float
    boxes: tuple[Box, ...]
    is_above: bool = True  # whether it lies above the line it feeds
    marks: int = 0  # the most positions below one of its stations
    join: tuple[float, float] | None = None  # where its arrow ends
    feeders: tuple["Row", ...] = ()
    first: int = 0  # place of its first station in the line
    is_cut: bool = False  # whether the line goes on in another row
    scale: float | None = None  # pixels in a metre; None: not to scale

    def moved(self, dx: float, dy: float) -> "Row":
        """Return the row with its feeders somewhere else."""
        join = (self.join[0] + dx, self.join[1] + dy) if self.join else None
        boxes = tuple(replace(box, x=box.x + dx) for box in self.boxes)
        feeders = tuple(feeder.moved(dx, dy) for feeder in self.feeders)
        return replace(self, x=self.x + dx, y=self.y + dy, join=join, boxes=boxes, feeders=feeders)

    @property
    def bottom(self) -> float:
        """The lower edge of its boxes and of the positions below them."""
        return self.y + self.form.box_height + self.marks * self.form.mark_height

    @property
    def edges(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom, feeders included."""
        parts = [feeder.edges for feeder in self.feeders]
        right = max(self.x + self.width, self.join[0] if self.join else 0.0)
        lefts, tops, rights, bottoms = zip(
            (self.x, self.y, right, self.bottom), *parts, strict=True
        )
        return min(lefts), min(tops), max(rights), max(bottoms)


def laid_out(lines: Sequence[DrawnLine], form: Form = WALL) -> list[Row]:
    """Return the rows of all lines, one below the other, from the upper left corner."""
    scale = None if form.is_overview else common_scale(lines)
    rows: list[Row] = []
    y = 0.0
    for line in lines:
        for part, first in _parts(line):
            row = _row(
                part, form, scale, first=first, is_cut=len(part.stations) < len(line.stations)
            )
            left, top, _, bottom = row.edges
            rows.append(row.moved(-left, y - top))
            y += bottom - top + 2 * form.drop
    return rows


def common_scale(lines: Sequence[DrawnLine]) -> float | None:
    """Return pixels in a metre, the same for all lines with lengths; None: no line is to scale."""
    drawn = [part for line in lines for part in line.all()]
    lengths = [s.length_m for line in drawn if line.length_m for s in line.stations if s.length_m]
    if not lengths:
        return None
    scale = max(LEAST_WIDTH / min(lengths), WALL.station_width / max(lengths))
    longest = max(line.length_m or 0.0 for line in drawn)
    return scale if scale * max(lengths) <= WIDEST and scale * longest <= LONGEST else None


def _parts(line: DrawnLine) -> list[tuple[DrawnLine, int]]:
    """Return a line, or what stands of a long one in each row, with the place it begins at."""
    count = len(line.stations)
    rows = -(-count // MOST_IN_ROW)
    if rows <= 1:
        return [(line, 0)]
    size = -(-count // rows)
    parts = []
    for first in range(0, count, size):
        after = min(first + size, count)
        feeders = tuple(
            replace(f, join_at=f.join_at - first)
            for f in line.feeders
            if first <= f.join_at < after
        )
        part = replace(
            line,
            stations=line.stations[first:after],
            feeders=feeders,
            ahead=line.ahead if first == 0 else (),
            end=line.end if after == count else (),
        )
        parts.append((part, first))
    return parts


def _row(
    line: DrawnLine,
    form: Form,
    scale: float | None,
    *,
    is_above: bool = True,
    first: int = 0,
    is_cut: bool = False,
) -> Row:
    """Return a line at the origin with its feeders around it; those of a feeder lie beyond it."""
    own = scale if line.length_m else None
    boxes: list[Box] = []
    usual = form.station_width
    x = form.label
    for mark in line.ahead:
        length = mark.length_m * own if mark.length_m and own else 0.0
        boxes.append(Box(x=x, width=min(max(length, usual), WIDEST), mark=mark))
        x += boxes[-1].width + PLACES
    starts = []
    for station in line.stations:
        starts.append(len(boxes))
        width = station.length_m * own if own and station.length_m else usual
        boxes.append(Box(x=x, width=width, station=station))
        is_between = station.places_after and not line.line.waits_beside
        x += width + (max(line.waiting_m(station) * (own or 0.0), PLACES) if is_between else 0.0)
    if line.without:
        boxes.append(Box(x=x, width=form.without, words=line.without))
        x += boxes[-1].width
    for mark in line.end:
        boxes.append(Box(x=x + PLACES, width=usual, mark=mark))
        x += PLACES + usual
    marks = max((len(station.marks) for station in line.stations), default=0)
    row = Row(
        drawn=line, form=form, x=0.0, y=0.0, width=x, boxes=tuple(boxes), is_above=is_above,
        marks=marks, first=first, is_cut=is_cut, scale=own,
    )  # fmt: skip
    return replace(row, feeders=tuple(_feeders(row, starts, scale)))


def _feeders(row: Row, starts: Sequence[int], scale: float | None) -> list[Row]:
    """Return the feeders of a row; those of the main line go above or below, as there is room."""
    line = row.drawn
    sides = (True, False) if line.line.is_main else (row.is_above,)
    placed: dict[bool, list[tuple[int, Row]]] = {side: [] for side in sides}
    into: dict[int, int] = {}
    for feeder in sorted(line.feeders, key=lambda each: each.join_at):
        at = min(feeder.join_at, len(starts) - 1)
        box = row.boxes[starts[at]] if starts else row.boxes[0]
        arrow = box.x + 6.0 + APART * into.get(at, 0)
        into[at] = into.get(at, 0) + 1
        is_narrow = bool(box.station and box.station.marks) and box.width < MARK_WIDTH + 12.0
        tried = []
        for side in sides:
            part = _row(feeder, row.form, scale, is_above=side)
            wait = PLACES + 6.0 if feeder.line.buffer_places else 0.0
            part = part.moved(arrow - END - wait - part.width, 0.0)
            left, _, _, _ = part.edges
            blocking = [level for level, other in placed[side] if other.edges[2] + BESIDE > left]
            hides = is_narrow and not side  # an arrow from below would run behind the positions
            tried.append((hides, max(blocking, default=0) + 1, not side, part, side))
        _, level, _, part, side = min(tried, key=lambda each: each[:3])
        placed[side].append((level, replace(part, join=(arrow, 0.0))))
    return [moved for side in sides for moved in _stacked(row, placed[side], side)]


def _stacked(row: Row, placed: Sequence[tuple[int, Row]], is_above: bool) -> list[Row]:
    """Return the feeders of one side on their levels."""
    found: list[Row] = []
    y, drop = row.y if is_above else row.bottom, row.form.drop
    for level in range(1, max((level for level, _ in placed), default=0) + 1):
        here = [part for at, part in placed if at == level]
        height = max(part.edges[3] - part.edges[1] for part in here)
        for part in here:
            _, top, _, bottom = part.edges
            dy = y - drop - bottom if is_above else y + drop - top
            end = row.y if is_above else row.y + row.form.box_height
            moved = part.moved(0.0, dy)
            assert part.join is not None
            found.append(replace(moved, join=(part.join[0], end)))
        y += -(height + drop) if is_above else height + drop
    return found
