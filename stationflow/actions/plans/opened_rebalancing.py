"""Rebalance what is opened, from the plan of a file or a stored one, with the least upheaval."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.progress import Progress
from stationflow.balancing.rebalance.cut_over import CutOverStep
from stationflow.balancing.rebalance.rebalancing import (
    cut_over_steps,
    rebalance,
    rebalance_product,
)
from stationflow.errors import NoLimitError
from stationflow.files.plan_document import read_plan_document
from stationflow.model import BalanceResult, BalanceSettings, Upheaval, by_severity
from stationflow.model.plan import MOVES_ALONE, REBALANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class RebalanceAnswer:
    """What came of a rebalancing."""

    result: BalanceResult
    steps: tuple[CutOverStep, ...] = ()  # from the old plan to the new one, in order


def rebalance_from_file(
    opened: Opened,
    line: str | None,
    file: Path,
    asked: BalanceSettings,
    progress: Progress | None = None,
    weights: Upheaval = MOVES_ALONE,
) -> RebalanceAnswer:
    """Rebalance a line from the plan of a file; `line` None: the one the plan is for.

    What the plan pins stays where it is.

    NoLimitError if an instance has no cycle time and none is asked for.
    """
    document, findings = read_plan_document(file, line, opened.line(None))
    if document is None:
        asked = replace(asked, method=REBALANCE)
        said = by_severity((*opened.findings, *findings))
        nothing = BalanceResult(line=opened.line(line), asked=asked, findings=said)
        return RebalanceAnswer(result=nothing)
    asked = replace(asked, pins=document.asked.pins)
    return rebalance_opened(opened, document.line, document.stations, asked, progress, weights)


def rebalance_opened(
    opened: Opened,
    line: str,
    old: Sequence[GivenStation],
    asked: BalanceSettings,
    progress: Progress | None = None,
    weights: Upheaval = MOVES_ALONE,
) -> RebalanceAnswer:
    """Rebalance a line; without limit and stations at its pace, or an instance's own cycle time.

    NoLimitError if an instance has no cycle time and none is asked for.
    """
    if opened.instance is None:
        made = rebalance_product(opened.product, line, old, asked, progress, weights)
    else:
        if asked.limit is None and asked.stations is None:
            if opened.limit(line) is None:
                raise NoLimitError(opened.name)
            asked = replace(asked, limit=opened.limit(line))
        made = rebalance(opened.instance.work, old, asked, progress, weights=weights)
    made = replace(made, findings=by_severity((*opened.findings, *made.findings)))
    work, product = opened.work(line)[0], None if opened.instance else opened.product
    steps = cut_over_steps(work, old, made, product) if work else ()
    return RebalanceAnswer(result=made, steps=steps)
