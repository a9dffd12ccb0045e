"""Stops of stations, equipment and machines: what is wrong with their two times."""

from collections.abc import Iterator

from stationflow.model import Finding, error, warning
from stationflow.pace.figures import figure, is_number


def is_some(minutes: float | None) -> bool:
    """Return whether a time is entered and above 0."""
    return minutes is not None and is_number(minutes) and minutes > 0


def stop_findings(where: str, mtbf_min: float | None, mttr_min: float | None) -> Iterator[Finding]:
    """Name stops of which one number is missing or zero."""
    if mtbf_min is None and mttr_min is None:
        return
    if mtbf_min is None or mttr_min is None:
        there, missing = (
            (f"its stops last {figure(mttr_min)} min", "how long it runs between them")
            if mttr_min is not None
            else (f"it runs {figure(mtbf_min or 0)} min between stops", "how long they last")
        )
        yield warning("stops-half-entered", where, f"{there.capitalize()}; {missing} is missing.")
    elif not is_some(mtbf_min):
        message = f"It runs {figure(mtbf_min)} min between stops: it never works."
        yield error("stop-without-run", where, message)
    elif not is_some(mttr_min):
        message = (
            f"It stops every {figure(mtbf_min)} min, and its stops last {figure(mttr_min)} min."
        )
        yield warning("stop-of-no-length", where, message)
