"""What `curve` prints: the points as a table, and what they say of the demand."""

from typing import TYPE_CHECKING

from stationflow.cli.reports import print_json, tell_findings, tell_table
from stationflow.cli.terminal import say

if TYPE_CHECKING:
    from stationflow.actions.opening.opened import Opened
    from stationflow.actions.plans.curves import CurveAnswer


def report_curve(opened: "Opened", answer: "CurveAnswer", *, as_json: bool) -> None:
    """Print the curve of a line, as text for people or as JSON."""
    from stationflow.files.exports.curve_tables import (
        answer_words,
        curve_document,
        flat_words,
        proven_words,
        shown_time,
    )

    curve = answer.curve
    if as_json:
        found = answer.findings
        print_json(curve_document(opened.name, answer.line, curve, answer.limit, found))
        return
    if curve is not None:
        unit = opened.unit
        marked = None if answer.limit is None else curve.answer(answer.limit)
        rows = [("stations", "cycle time", "lower bound", "efficiency", "", "")]
        rows += [
            (
                str(point.stations),
                shown_time(point.cycle, unit),
                shown_time(point.lower_bound, unit),
                f"{100 * curve.efficiency(point):.1f} %",
                proven_words(point),
                "<- demand" if point == marked else "",
            )
            for point in curve.points
        ]
        tell_table(rows)
        proven = len(curve.points) - len(curve.open_points)
        say("")
        say(flat_words(curve, unit))
        say(answer_words(curve, answer.limit, unit))
        say(
            f"{proven} of {len(curve.points)} points are proven; "
            f"{curve.method}, {curve.runtime_s:.2f} s"
        )
    tell_findings(answer.findings)
