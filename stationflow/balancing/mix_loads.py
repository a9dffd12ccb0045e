"""What the mix of models does to single stations."""

from stationflow.balancing.time_words import time_words
from stationflow.model import BalanceResult, Finding, Product, warning
from stationflow.units import exact


def model_overloads(product: Product, result: BalanceResult) -> tuple[Finding, ...]:
    """Return a warning for each station where one model exceeds the limit.

    The mean over all models keeps the limit at every station; a single model may not.
    Without a takt the cycle time is the limit.
    """
    if not product.models or not result.has_plan:
        return ()
    longest = max(station.work for station in result.stations)
    limit = exact(longest if result.takt is None else result.takt)
    tasks = {task.number: task for task in product.tasks}
    words = time_words(result.time_unit, product.time_unit)
    findings = []
    for station in result.stations:
        over = []
        for model in product.models:
            load = sum(
                tasks[number].time_ms_for(model.name) or 0
                for number in station.tasks
                if number in tasks
            )
            if load > 1000 * limit:
                over.append(f"{model.name} with {words.show(load / 1000)}")
        if over:
            message = (
                f"The work is longer than the limit {words.show(float(limit))} for model "
                f"{', '.join(over)}; the mean over the mix is {words.show(station.work)}."
            )
            findings.append(warning("model-over-takt", f"Station {station.number}", message))
    return tuple(findings)
