"""Small lines printed in textbooks, and how to count all their plans.

Task data: Chase and Jacobs, Operations Management (wagon); Krajewski, Operations
Management (spreader, ten and eleven elements); Groover, Automation, Production
Systems, and Computer-Integrated Manufacturing (twelve elements, from memory).
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from stationflow.balancing.work import LineWork


def line(text: str, ticks: int = 1000) -> LineWork:
    """Return the work of a line written as "A45 B11:A C9:B"; times with decimals."""
    rows = [(*row.partition(":")[::2],) for row in text.split()]
    numbers = tuple(task.rstrip("0123456789.") for task, _ in rows)
    at = {number: position for position, number in enumerate(numbers)}
    return LineWork(
        line="main",
        numbers=numbers,
        times=tuple(
            round(float(t.removeprefix(n)) * ticks) for (t, _), n in zip(rows, numbers, strict=True)
        ),
        predecessors=tuple(tuple(at[p] for p in before.split(",") if p) for _, before in rows),
        ticks=ticks,
    )


WAGON = line("A45 B11:A C9:B D50 E15:D F12:C G12:C H12:E I12:E J8:F,G,H,I K9:J")
SPREADER = line("A40 B30:A C50:A D40:B E6:B F25:C G15:C H20:D,E I18:F,G")
TEN = line("A40 B80:A C30:D,E,F D25:B E20:B F15:B G120:A H145:G I130:H J115:C,I")
ELEVEN = line("A12 B60:A C36 D24 E38:C,D F72:B,E G14 H72 I35:G,H J60:I K12:F,J")
SEVEN = line("A40 B45 C55:A D55:B E65:B F40:C,D G25:D,E")
TWELVE = LineWork(
    line="main",
    numbers=tuple(str(n) for n in range(1, 13)),
    times=(200, 400, 700, 100, 300, 110, 320, 600, 270, 380, 500, 120),
    predecessors=(
        (), (), (0,), (0, 1), (1,), (2,), (2,), (2, 3), (5, 6, 7), (4, 7), (8, 9), (10,),
    ),
)  # fmt: skip
JACKSON = LineWork(
    line="Jackson",
    numbers=tuple(str(n) for n in range(1, 12)),
    times=(6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4),
    predecessors=((), (0,), (0,), (0,), (0,), (1,), (2, 3, 4), (5,), (6,), (7,), (8, 9)),
    ticks=1,
    time_unit="unit",
)
BOOKS = {
    "wagon": (WAGON, 50.4),
    "spreader": (SPREADER, 60.0),
    "ten": (TEN, 150.0),
    "eleven": (ELEVEN, 120.0),
    "seven": (SEVEN, 120.0),
    "twelve": (TWELVE, 1.0),
    "jackson": (JACKSON, 10.0),
}


def all_plans(work: LineWork, limit: float, stations: int) -> Iterator[tuple[frozenset[int], ...]]:
    """Yield every plan of exactly so many stations, by trying all of them."""
    ticks = limit * work.ticks + 1e-6

    def fill(done: frozenset[int], left: int) -> Iterator[tuple[frozenset[int], ...]]:
        rest = [j for j in range(len(work.times)) if j not in done]
        if left == 0:
            if not rest:
                yield ()
            return
        for size in range(1, len(rest) + 1):
            for chosen in map(frozenset, combinations(rest, size)):
                is_open = all(set(work.predecessors[j]) <= done | chosen for j in chosen)
                if is_open and sum(work.times[j] for j in chosen) <= ticks:
                    for others in fill(done | chosen, left - 1):
                        yield (chosen, *others)

    yield from fill(frozenset(), stations)


def fewest_by_trying(work: LineWork, limit: float) -> int:
    """Return the fewest stations, by trying all sets of finished tasks."""
    ticks = limit * work.ticks + 1e-6
    best: dict[frozenset[int], tuple[int, int]] = {frozenset(): (1, 0)}
    for _ in work.times:
        after: dict[frozenset[int], tuple[int, int]] = {}
        for done, (stations, load) in best.items():
            for j, time in enumerate(work.times):
                if j in done or not set(work.predecessors[j]) <= done:
                    continue
                state = (stations, load + time) if load + time <= ticks else (stations + 1, time)
                grown = done | {j}
                after[grown] = min(after.get(grown, state), state)
        best = after
    return next(iter(best.values()))[0]


def tasks_of(stations: Sequence[object]) -> list[str]:
    """Return the tasks of each station of a result as text "A,B"."""
    return [",".join(station.tasks) for station in stations]  # type: ignore[attr-defined]
