"""What the mix of models does to single stations."""

from stationflow.balancing.time_words import time_words
from stationflow.model import BalanceResult, Finding, warning
from stationflow.units import TimeUnit


def model_overloads(result: BalanceResult, unit: TimeUnit) -> tuple[Finding, ...]:
    """Return a warning for each station where one model exceeds the limit, or the cycle time.

    The mean over all models keeps the limit at every station; a single model may not.
    """
    limit = result.cycle_time if result.limit is None else result.limit
    words = time_words(result.time_unit, unit)
    findings = []
    for station, mean in zip(result.stations, result.loads, strict=True):
        loads = ((model, result.in_time_unit(ticks)) for model, ticks in station.model_ticks)
        over = [(model, load) for model, load in loads if load > limit]
        if over:
            most, usual, *times = words.apart(limit, mean, *(load for _, load in over))
            named = (f"{model} with {time}" for (model, _), time in zip(over, times, strict=True))
            message = (
                f"The work is longer than the limit {most} for model "
                f"{', '.join(named)}; the mean over the mix is {usual}."
            )
            findings.append(warning("model-over-limit", f"Station {station.number}", message))
    return tuple(findings)
