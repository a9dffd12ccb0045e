"""What the main line makes and how many people its work needs, opened."""

from stationflow.balancing.work import line_work
from stationflow.model import Explained, Product
from stationflow.pace.capacity import explain_good_units, explain_workers
from stationflow.pace.takt import line_pace


def capacity_numbers(product: Product, cycle_time_s: float | None) -> tuple[Explained, ...]:
    """Return what the main line can make and how many people its work needs, opened.

    `cycle_time_s` is the cycle time of the main line; None: its operating takt.
    """
    main = product.main_line
    if main is None:
        return ()
    pace = line_pace(product, main.name)
    if pace.operating_takt_s is None or pace.station_time_s is None:
        return ()
    cycle = cycle_time_s or pace.operating_takt_s
    work, _ = line_work(product, main.name)
    content = sum(work.times) / work.ticks if work else 0.0
    workers = explain_workers(
        content, pace.operating_takt_s, repositioning_s=main.repositioning_ms / 1000
    )
    made = explain_good_units(product.calendar, product.demand, cycle, main.copies)
    return (made, workers) if content else (made,)
