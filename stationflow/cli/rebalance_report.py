"""What `rebalance` prints: the plan, what moves, and the cut-over list in order."""

from typing import TYPE_CHECKING

from stationflow.cli.reports import print_json, tell_balances
from stationflow.cli.terminal import say

if TYPE_CHECKING:
    from stationflow.actions.opening.opened import Opened
    from stationflow.actions.plans.opened_rebalancing import RebalanceAnswer


def report_rebalance(opened: "Opened", answer: "RebalanceAnswer", *, as_json: bool) -> None:
    """Print what came of a rebalancing, as text for people or as JSON."""
    from stationflow.balancing.rebalance.rebalance_words import moves_words, station_words
    from stationflow.files.plan_document import plan_document

    result, steps = answer.result, answer.steps
    if as_json:
        listed = [list(step.sentences) for step in steps]
        print_json(plan_document(opened.name, result) | {"cut_over": listed})
        return
    tell_balances(opened, [(result, None)])
    if result.rebalanced is None:
        return
    say(moves_words(result.rebalanced))
    for sentence in station_words(result.rebalanced):
        say(sentence)
    for number, step in enumerate(steps, 1):
        say(f"Step {number}: {' '.join(step.sentences)}")
