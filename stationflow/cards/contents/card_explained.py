"""The sum of the times printed on a card, opened."""

from decimal import Decimal

from stationflow.balancing.work import line_work, times_there
from stationflow.cards.contents.times import printed_unit
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
    work, _ = line_work(product, result.line)
    if work is None:
        return ()
    there = times_there(work, [load])
    terms = [(f"task {number}", there.of_task.get(number, 0.0)) for number in load.tasks]
    terms += [("turning the unit over", turned) for turned in there.turns.values()]
    unit = printed_unit(product.time_unit, result.time_unit)
    printed = rounded_to_sum([unit.exactly(time) for _, time in terms], unit.decimals)
    total = sum(printed, Decimal(0))
    listed = " + ".join(f"{time} ({of})" for time, (of, _) in zip(printed, terms, strict=True))
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
