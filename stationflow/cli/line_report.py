"""What ``line`` and ``simulate`` print as text."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stationflow.cli.explain_report import value_text
from stationflow.cli.reports import tell_findings, tell_table
from stationflow.cli.terminal import say
from stationflow.model import Finding
from stationflow.pace.figures import figure

if TYPE_CHECKING:
    from stationflow.actions.showing.line_showing import LineView
    from stationflow.actions.showing.simulating import RankedPlan
    from stationflow.line.geometry.parallel_lines import ParallelOption
    from stationflow.line.simulation.simulated import Estimate, Simulated

MOST_WORTH = 8


def tell_line(view: "LineView", parallel: "Sequence[ParallelOption]") -> None:
    """Print the chain from demand to leads, the output, what pays, and what was found."""
    told = view.throughput
    if told.output_per_h is not None:
        ideal = f" of {figure(told.ideal_per_h, 2)} without scatter" if told.ideal_per_h else ""
        say(f"Good units an hour by formula: {figure(told.output_per_h, 2)}{ideal}")
    for loss in told.losses:
        say(f"  less for {loss.name}: {figure(loss.per_h, 2)}")
    if told.limiter:
        say(f"Most likely limiter: {told.limiter}")
    say("")
    where: str | None = None
    for number in view.whole.chain:
        if number.where != where:
            where = number.where
            say(f"{where or 'all lines'}:")
        say(f"  {number.name}: {value_text(number)}")
    if parallel:
        say("")
        say("One main line beside parallel ones:")
        tell_table([tuple(parallel[0].row), *(tuple(option.row.values()) for option in parallel)])
    worth = [value for value in told.values if value.gain_per_h > 0][:MOST_WORTH]
    if worth:
        say("")
        say("What one more of something brings:")
        tell_table(
            [
                ("", "where", "units/h more", "cost"),
                *(
                    (v.what, v.where, figure(v.gain_per_h, 3), figure(v.cost, 2) if v.cost else "-")
                    for v in worth
                ),
            ]
        )
    say("")
    tell_findings(view.findings)


def tell_simulated(simulated: "Simulated", findings: Sequence[Finding]) -> None:
    """Print output with its limits, shares of the stations, the loss tree, the limiter."""
    if not simulated.replications:
        say("Nothing was simulated.")
        tell_findings(findings)
        return
    settings = simulated.settings
    say(
        f"{simulated.replications} runs of {figure(settings.hours)} h after "
        f"{figure(simulated.warm_up_h, 2)} h of warm-up, seed {settings.seed}; in brackets the "
        "95 % limits of the mean"
    )
    for name, estimate in (
        ("Good units an hour", simulated.output_per_h),
        ("Time in system (s)", simulated.time_in_system_s),
        ("Units under way", simulated.wip),
    ):
        say(f"{name}: {estimate_words(estimate)}")
    if simulated.limiter:
        say(f"Most likely limiter: {simulated.limiter}")
    say("")
    names = ("worked", "blocked", "starved", "stopped")
    tell_table(
        [
            ("station", *names),
            *(
                (
                    f"{each.line} {each.number}{f', {each.name}' if each.name else ''}",
                    *(f"{100 * getattr(each, name):.1f} %" for name in names),
                )
                for each in simulated.stations
            ),
        ]
    )
    if simulated.losses:
        say("")
        tell_table(
            [
                ("where the output goes", "units/h"),
                *(
                    (
                        f"{'  ' if loss.part_of else ''}{loss.name} {loss.where}".rstrip(),
                        f"{loss.per_h:.3f}",
                    )
                    for loss in simulated.losses
                ),
            ]
        )
    say("")
    tell_findings(findings)


def tell_ranked(ranked: "Sequence[RankedPlan]") -> None:
    """Print several plans, best first, each with its output and how far it is from the best."""
    settings = ranked[0].made.simulated.settings
    say(
        f"{settings.replications} runs of {figure(settings.hours)} h of each plan, seed "
        f"{settings.seed}, with the same random numbers; in brackets the 95 % limits of the mean"
    )
    tell_table(
        [
            ("plan", "good units/h", "more than the best", "limiter"),
            *(_ranked_row(at, plan) for at, plan in enumerate(ranked, 1)),
        ]
    )
    for plan in ranked:
        more = plan.more_per_h
        if more is not None and more.low is not None and more.high is not None and more.high >= 0:
            say(f"These runs do not tell {plan.name} from the best: the limits hold 0.")
    say("")
    of_all = [
        finding
        for finding in ranked[0].made.findings
        if all(finding in plan.made.findings for plan in ranked)
    ]
    tell_findings(of_all)
    for plan in ranked:
        if own := [finding for finding in plan.made.findings if finding not in of_all]:
            say(f"{plan.name}:")
            tell_findings(own)


def _ranked_row(at: int, plan: "RankedPlan") -> tuple[str, ...]:
    made = plan.made.simulated
    if not plan.is_simulated:
        return (f"   {plan.name}", "not simulated", "-", "-")
    more = "-" if plan.more_per_h is None else estimate_words(plan.more_per_h)
    limiter = f"{made.limiter_line} {made.limiter_number}"
    return (f"{at}. {plan.name}", estimate_words(made.output_per_h), more, limiter)


def estimate_words(estimate: "Estimate") -> str:
    """Return a mean with its limits."""
    if estimate.low is None or estimate.high is None:
        return f"{figure(estimate.mean, 2)} (one run has no limits)"
    return f"{figure(estimate.mean, 2)} ({figure(estimate.low, 2)} to {figure(estimate.high, 2)})"
