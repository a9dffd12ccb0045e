"""Compare plans: from files, or made now by several methods."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stationflow.actions.given_plans import read_given_plan, work_of_source
from stationflow.actions.source_balancing import balance_source, lines_to_balance
from stationflow.actions.sources import Source
from stationflow.balancing.bounds import bounds
from stationflow.balancing.problem import balance_problem
from stationflow.model import BalanceResult, BalanceSettings, Ending, Goal, has_errors


def compare_methods(
    source: Source, line: str | None, settings: Sequence[BalanceSettings]
) -> list[tuple[str, BalanceResult]]:
    """Balance one line by several methods; return each method's name and result."""
    name = lines_to_balance(source, line)[0]
    return [(each.method, balance_source(source, name, each)) for each in settings]


def compare_plans(source: Source, files: Sequence[Path]) -> list[tuple[str, BalanceResult]]:
    """Return the plans of several files with their names, measured on the source's times.

    A plan that does not hold is shown without stations, and its findings say why.
    """
    compared = []
    for file in files:
        plan, findings = read_given_plan(source, None, file)
        if plan is None or has_errors(findings):
            result = BalanceResult(
                line=plan.line if plan else "",
                goal=Goal.FEASIBLE,
                ending=None,
                method="given",
                findings=tuple(findings),
            )
        else:
            result = _measured(source, plan.result)
        compared.append((file.stem, result))
    return compared


def _measured(source: Source, result: BalanceResult) -> BalanceResult:
    """Return a given plan with its lower bound and what that proves."""
    work, _ = work_of_source(source, result.line)
    if work is None or result.takt is None:
        return replace(result, ending=Ending.FOUND)
    proved = bounds(balance_problem(work, result.takt))
    bound = max((value for _, value in proved), default=0)
    ending = Ending.OPTIMAL if bound >= len(result.stations) else Ending.FOUND
    return replace(result, lower_bound=float(bound), ending=ending)
