"""The sum of the times printed on a card, opened."""

from decimal import Decimal

from stationflow.balancing.work import mean_time_ms
from stationflow.cards.times import printed_unit
from stationflow.model import BalanceResult, Explained, Product, cross_checked
from stationflow.units import rounded_to_sum

ROUNDING = (
    "largest-remainder rounding (Hamilton's method): every column adds up to what stands below it"
)


def card_numbers(product: Product, result: BalanceResult, station: int) -> tuple[Explained, ...]:
    """Return the time printed at the foot of a station's card, opened.

    Empty: there is no such station, or a task of it is not timed any more.
    """
    load = next((s for s in result.stations if s.number == station), None)
    tasks = {task.number: task for task in product.tasks}
    if load is None or any(number not in tasks for number in load.tasks):
        return ()
    try:
        times = [mean_time_ms(product, tasks[number]) / 1000 for number in load.tasks]
    except ValueError:  # a task is not timed for a model any more
        return ()
    unit = printed_unit(product.time_unit, result.time_unit)
    printed = rounded_to_sum([unit.exactly(time) for time in times], unit.decimals)
    total = sum(printed, Decimal(0))
    listed = " + ".join(f"{time} (task {n})" for time, n in zip(printed, load.tasks, strict=True))
    return (
        cross_checked(
            Explained(
                name="sum of the printed times",
                value=float(total),
                unit=unit.label,
                formula="sum on the card = load rounded; task times rounded so that they add up",
                worked=f"{listed or 'no task'} = {total} {unit.label}",
                source=ROUNDING,
                other="Times rounded each by itself may miss the printed sum by some last places.",
                key=f"station-{station}-card-sum",
                where=f"station {station}",
            ),
            float(unit.rounded(result.in_time_unit(load.work_ticks))),
            "the load of the station in the plan, rounded,",
        ),
    )
