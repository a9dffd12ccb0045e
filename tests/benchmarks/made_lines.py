"""Lines made at random, for measuring without the published sets."""

import random

from stationflow.balancing.work import LineWork


def made_line(size: int, seed: int, reach: int = 20) -> LineWork:
    """Return a line in which each task waits for one or two of the `reach` before it."""
    draw = random.Random(seed)
    predecessors = [
        tuple({draw.randrange(max(0, j - reach), j) for _ in range(draw.choice((1, 1, 2)))})
        if j
        else ()
        for j in range(size)
    ]
    return LineWork(
        line="made",
        numbers=tuple(str(j + 1) for j in range(size)),
        times=tuple(draw.randint(5, 1386) for _ in range(size)),
        predecessors=tuple(predecessors),
        ticks=1,
        time_unit="unit",
    )
