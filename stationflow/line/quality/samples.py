"""Tasks that test a sample of each lot: the plan, what it lets pass, and its testers."""

from dataclasses import dataclass, replace

from stationflow.line.quality.sampling import (
    LIMITS,
    SOURCE,
    SamplingPlan,
    acceptance_share,
    outgoing_limit,
    sampling_plan,
)
from stationflow.model import Explained, Finding, SampleLevel, Task, warning
from stationflow.pace.figures import figure, fraction

CURVE_SHARES = (0.25, 0.5, 1, 1.5, 2, 3, 5)
"""Points of the operating characteristic that are told, as multiples of the quality limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFigures:
    """How a task tests a sample of each lot; without a plan a finding says why."""

    task: str
    name: str
    line: str
    lot: int
    level: SampleLevel | None
    aql_percent: float | None
    plan: SamplingPlan | None = None
    tests_per_unit: float | None = None  # sample / lot
    # incoming share nonconforming, and the chance that such a lot is accepted
    curve: tuple[tuple[float, float], ...] = ()
    outgoing_limit: float | None = None
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


def sample_figures(task: Task) -> SampleFigures | None:
    """Return how a task samples; None: it tests every unit."""
    step = task.quality
    if step is None or step.lot is None:
        return None
    level, limit = step.sample_level, step.aql_percent
    figures = SampleFigures(
        task=task.number,
        name=task.name,
        line=task.line,
        lot=step.lot,
        level=level,
        aql_percent=limit,
    )
    if level is None or limit is None:
        return figures
    if step.lot < 2 or limit not in LIMITS:
        known = ", ".join(f"{each:g}" for each in LIMITS)
        said = (
            f"The lot is {step.lot} and the quality limit {limit:g} %; there are plans for lots of "
            f"two units or more and limits of {known} %."
        )
        return replace(
            figures, findings=(warning("no-sampling-plan", f"Task {task.number}", said),)
        )
    plan = sampling_plan(step.lot, level, limit)
    worst, at = outgoing_limit(plan, step.lot)
    incoming = [limit / 100 * times for times in CURVE_SHARES]
    return replace(
        figures,
        plan=plan,
        tests_per_unit=plan.size / step.lot,
        curve=tuple((share, acceptance_share(plan, share)) for share in incoming if share < 1),
        outgoing_limit=worst,
        numbers=tuple(
            replace(number, key=f"sample-{task.number}-{number.key}", where=f"sample {task.number}")
            for number in _numbers(figures, level, limit, plan, worst, at)
        ),
    )


def _numbers(
    figures: SampleFigures,
    level: SampleLevel,
    limit: float,
    plan: SamplingPlan,
    worst: float,
    at: float,
) -> tuple[Explained, ...]:
    led = "" if plan.letter == plan.asked_letter else f", an arrow leads to {plan.letter}"
    whole = "; the sample is the whole lot" if plan.is_whole_lot else ""
    accepted = acceptance_share(plan, limit / 100)
    return (
        Explained(
            name="sample size",
            value=plan.size,
            unit="units",
            formula="sample size = that of the code letter of the lot and the inspection level",
            worked=f"lot {figures.lot}, level {level}: {plan.asked_letter}{led}: {plan.size} "
            f"units{whole}",
            source=SOURCE,
            other="The size says little of the lot: 10 % of each lot is no plan of the standard.",
            key="size",
        ),
        Explained(
            name="acceptance number",
            value=plan.accept,
            unit="units",
            formula="acceptance number = that of letter and quality limit; one more rejects",
            worked=f"{plan.letter} at {limit:g} %: accepted with {plan.accept}, rejected with "
            f"{plan.reject}. Tightened when 2 of 5 lots in a row are rejected, back after 5 "
            "accepted in a row",
            source=SOURCE,
            key="accept",
        ),
        Explained(
            name="chance that a lot at the quality limit is accepted",
            value=accepted,
            unit="",
            formula="sum over 0 to the acceptance number of C(n, k) p^k (1 - p)^(n - k)",
            worked=f"n {plan.size}, c {plan.accept}, p {figure(fraction(limit) / 100)}: "
            f"{figure(accepted, 4)}",
            source="binomial distribution",
            other="With Poisson's law, n p for the mean, it is a little more.",
            key="at-limit",
        ),
        Explained(
            name="average outgoing quality limit",
            value=worst,
            unit="",
            formula="largest p Pa(p) (lot - sample) / lot, lots that are rejected being sorted",
            worked=f"at p {figure(at, 4)}: {figure(worst, 5)}",
            source="Dodge and Romig",
            key="outgoing",
        ),
    )
