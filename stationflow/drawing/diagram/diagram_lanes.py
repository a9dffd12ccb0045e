"""Where the arrows of a precedence diagram run: in the lanes between columns, rows and bands.

All arrows of one task share one lane, like the tracks of a bus; arrows of
different tasks never run on top of each other except into a task they share.
"""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from stationflow.drawing.diagram.diagram_grid import Cell, Grid

Arrow = tuple[int, int]
Point = tuple[float, float]
Key = tuple[str, int]  # arrows with one share a lane: those leaving a task, or coming to it
Span = tuple[float, float, float]  # lowest and highest point of a use, and where it starts
# ("down", band, column it is left of), ("across", band, row it is above), ("edge", 0, 0)
Street = tuple[str, int, int]
EDGE: Street = ("edge", 0, 0)
TRACK = 4.0  # space between two lanes, in points
SIDE = 9.0  # space between a lane and the nodes beside it, in points; the arrowhead needs it
ASIDE = 0.24  # how far from the middle of a node an arrow ends that leaves it free, in heights
ABOVE = 4.0  # space between a lane and the nodes above and below it, in points


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The finished layout, in points from the lower left."""

    centres: tuple[Point, ...]  # centre of each task
    routes: dict[Arrow, tuple[Point, ...]]  # corners of each arrow
    width: float  # of the whole
    height: float


@dataclass(slots=True)
class _Leg:
    """The way of one arrow: streets in turn; a street ending in a node is not listed."""

    arrow: Arrow
    key: Key
    streets: list[Street]


@dataclass(slots=True)
class _Plan:
    """Streets, who uses them from where to where, and on which lane."""

    grid: Grid
    entry: set[Arrow] = field(default_factory=set)
    exit: set[Arrow] = field(default_factory=set)
    taken: dict[Cell, Key] = field(default_factory=dict)
    lanes: dict[tuple[Street, Key], int] = field(default_factory=dict)
    count: dict[Street, int] = field(default_factory=dict)


def placed_diagram(
    grid: Grid,
    arrows: Sequence[Arrow],
    size: tuple[float, float],
    marked: Collection[Arrow] = frozenset(),
) -> Placed:
    """Return where nodes of one size in points stand and arrows run.

    Arrows may go backwards or come back to their own task. The marked ones keep lanes of
    their own, at most one out of and into a task.
    """
    plan = _Plan(grid=grid)
    at = {cell: task for task, cell in enumerate(grid.cells)}
    leaving, coming = Counter(a for a, _ in arrows), Counter(b for _, b in arrows)

    def length(arrow: Arrow) -> list[int]:
        start, end = (grid.cells[task] for task in arrow)
        return [abs(x - y) for x, y in zip(start, end, strict=True)]

    _move_ends(plan, at, arrows, marked)
    legs = []
    for a, b in sorted(arrows, key=length):  # short ones choose first
        key = ("to", b) if coming[b] > leaving[a] else ("from", a)
        legs.append(_leg(plan, at, (a, b), ("marked", a) if (a, b) in marked else key))
    return _drawn(plan, legs, size)


def _move_ends(
    plan: _Plan, at: dict[Cell, int], arrows: Sequence[Arrow], marked: Collection[Arrow]
) -> None:
    """Note which arrows enter above the middle of their task, and which leave below it.

    Those entering do where they would run on top of arrows leaving the task
    beside it, and both do where a marked arrow has the middle.
    """
    leaving: dict[int, set[int]] = {}
    for a, b in arrows:
        leaving.setdefault(a, set()).add(b)
    beside: dict[int, int] = {}
    for task, cell in enumerate(plan.grid.cells):
        for column in range(cell.column - 1, -1, -1):
            if (other := at.get(cell._replace(column=column))) is not None:
                beside[task] = other
                break
    out, into = {a for a, _ in marked}, {b for _, b in marked}
    for a, b in arrows:
        left = beside.get(b, a)
        is_joining = left != a and bool(leaving.get(left, set()) - {b})
        if is_joining or (b in into and (a, b) not in marked):
            plan.entry.add((a, b))
        if a in out and (a, b) not in marked:
            plan.exit.add((a, b))


def _leg(plan: _Plan, at: dict[Cell, int], arrow: Arrow, key: Key) -> _Leg:
    a, b = (plan.grid.cells[task] for task in arrow)
    out: Street = ("down", a.band, a.column + 1)
    into: Street = ("down", b.band, b.column)
    if a.band != b.band:
        leave: Street = ("across", a.band + (b.band > a.band), 0)
        arrive: Street = ("across", b.band, 0)
        if leave == arrive:
            return _Leg(arrow, key, [out, leave, into])
        return _Leg(arrow, key, [out, leave, EDGE, arrive, into])
    if out == into:
        return _Leg(arrow, key, [out])
    if b.column > a.column:
        for row, streets in ((b.row, [out]), (a.row, [into])):
            cells = [Cell(a.band, c, row) for c in range(a.column + 1, b.column)]
            if all(c not in at and plan.taken.get(c, key) == key for c in cells):
                plan.taken |= dict.fromkeys(cells, key)
                return _Leg(arrow, key, streets)
    # Gap n is above row n; the one between both rows, near the middle of the two.
    low, high = sorted((a.row, b.row))
    gap = b.row if b.row > a.row else b.row + 1
    if low == high:
        gap = low + 1 if low + 1 <= plan.grid.rows[a.band] - 1 else low
    return _Leg(arrow, key, [out, ("across", a.band, gap), into])


def _use(plan: _Plan, legs: Sequence[_Leg], kinds: Sequence[str], x: "_Across") -> None:
    """Note from where to where the arrows use the streets of these kinds, and give lanes."""
    spans: dict[Street, dict[Key, Span]] = {}
    for leg in legs:
        for n, street in enumerate(leg.streets):
            if street[0] not in kinds:
                continue
            start, end = _ends(plan, leg, n, x)
            users = spans.setdefault(street, {})
            low, high, first = users.get(leg.key, (start, start, start))
            users[leg.key] = (min(low, start, end), max(high, start, end), first)
    for street, users in spans.items():
        _give_lanes(plan, street, users)


def _ends(plan: _Plan, leg: _Leg, n: int, x: "_Across") -> tuple[float, float]:
    """Return from where to where an arrow uses a street: half rows down, points across, bands."""
    street = leg.streets[n]
    a, b = (plan.grid.cells[task] for task in leg.arrow)
    ends: list[float] = []
    for cell, other in ((a, leg.streets[n - 1] if n else None),
                        (b, leg.streets[n + 1] if n + 1 < len(leg.streets) else None)):  # fmt: skip
        if street[0] == "edge":
            assert other is not None
            ends.append(other[1])
        elif street[0] == "across":
            assert other is not None
            ends.append(x.lane(other, leg.key))
        elif other is None:
            ends.append(2 * cell.row + 1)
        else:  # between bands: above the first row of its own band, or below the last
            ends.append(2 * other[2] if other[1] == street[1] else 1_000)
    if street[0] == "down":
        ends[0] += 2 * ASIDE if n == 0 and leg.arrow in plan.exit else 0
        ends[1] -= 2 * ASIDE if n == len(leg.streets) - 1 and leg.arrow in plan.entry else 0
    return ends[0], ends[1]


def _give_lanes(plan: _Plan, street: Street, users: dict[Key, Span]) -> None:
    """Give each user of a street a lane; users that do not meet share one.

    Going down, the lower starts first, going up the upper: arrows cross least so.
    """
    apart = 2 * TRACK if street[0] == "across" else 0.0
    lanes: list[list[tuple[float, float]]] = []
    for key, (low, high, _) in sorted(users.items(), key=_lane_order):
        if high - low < 0.01:
            continue  # runs straight across the street
        free = (
            n
            for n, used in enumerate(lanes)
            if all(high + apart < a or b + apart < low for a, b in used)
        )
        lane = next(free, len(lanes))
        if lane == len(lanes):
            lanes.append([])
        lanes[lane].append((low, high))
        plan.lanes[street, key] = lane
    plan.count[street] = len(lanes)


def _lane_order(user: tuple[Key, Span]) -> tuple[float, Key]:
    """Return the turn of a user of a street."""
    key, (low, high, first) = user
    return (-first if high - first >= first - low else first), key


class _Across:
    """Places from left to right, in points."""

    def __init__(self, plan: _Plan, width: float) -> None:
        self.plan = plan
        self.lefts: dict[tuple[int, int], float] = {}
        self.width = 0.0
        edge = plan.count.get(EDGE, 0)
        for band, columns in enumerate(plan.grid.columns):
            x = edge * TRACK + SIDE if edge else 0.0
            for c in range(columns + 1):
                self.lefts[band, c] = x
                lanes = plan.count.get(("down", band, c), 0)
                x += 2 * SIDE + max(lanes - 1, 0) * TRACK if 0 < c < columns or lanes else 0
                x += width if c < columns else 0
            self.width = max(self.width, x)

    def lane(self, street: Street, key: Key) -> float:
        """Return where a lane going down runs."""
        left = 0.0 if street == EDGE else self.lefts[street[1], street[2]] + SIDE
        return left + self.plan.lanes.get((street, key), 0) * TRACK


class _Down:
    """Places from the top down, in points; 0 is the top."""

    def __init__(self, plan: _Plan, height: float) -> None:
        self.plan = plan
        self.tops: dict[tuple[int, int], float] = {}
        y = 0.0
        for band, rows in enumerate(plan.grid.rows):
            for r in range(rows + 1):
                self.tops[band, r] = y
                lanes = plan.count.get(("across", band, r), 0)
                if 0 < r < rows:
                    y += 2 * ABOVE + max(lanes - 1, 0) * TRACK
                elif r == 0 and (band or lanes):
                    y += (4 if band else 3) * ABOVE + lanes * TRACK
                y += height if r < rows else 0
        self.height = y

    def lane(self, street: Street, key: Key) -> float:
        """Return where a lane going across runs."""
        first = ABOVE if street[2] else 2 * ABOVE
        number = self.plan.lanes.get((street, key), 0)
        return self.tops[street[1], street[2]] + first + number * TRACK


def _drawn(plan: _Plan, legs: Sequence[_Leg], size: tuple[float, float]) -> Placed:
    """Give lanes and return coordinates in points for all places and arrows."""
    width, height = size
    _use(plan, legs, ("down", "edge"), _Across(plan, width))
    x = _Across(plan, width)
    _use(plan, legs, ("across",), x)
    y = _Down(plan, height)
    centres = tuple(
        (
            x.lefts[cell.band, cell.column + 1] - width / 2,
            y.height - y.tops[cell.band, cell.row + 1] + height / 2,
        )
        for cell in plan.grid.cells
    )
    routes = {}
    for leg in legs:
        (ax, ay), (bx, by) = (centres[task] for task in leg.arrow)
        by += ASIDE * height if leg.arrow in plan.entry else 0
        ay -= ASIDE * height if leg.arrow in plan.exit else 0
        points = [(ax + width / 2, ay)]
        for street in leg.streets:
            if street[0] == "across":
                points.append((points[-1][0], y.height - y.lane(street, leg.key)))
            else:
                points.append((x.lane(street, leg.key), points[-1][1]))
        points += [(points[-1][0], by), (bx - width / 2, by)]
        routes[leg.arrow] = _without_doubles(points)
    return Placed(centres=centres, routes=routes, width=x.width, height=y.height)


def _without_doubles(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the corners alone: no point twice, none on a straight line."""
    kept: list[Point] = []
    for point in points:
        if kept and abs(kept[-1][0] - point[0]) < 0.01 and abs(kept[-1][1] - point[1]) < 0.01:
            continue
        if len(kept) > 1 and any(
            abs(kept[-2][axis] - kept[-1][axis]) < 0.01 and abs(kept[-1][axis] - point[axis]) < 0.01
            for axis in (0, 1)
        ):
            kept.pop()
        kept.append(point)
    return tuple(kept)
