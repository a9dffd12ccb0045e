"""The balancing methods as the engineer chooses among them."""

from dataclasses import replace

from stationflow.balancing.balance_check import check_settings
from stationflow.balancing.explained.plan_explained import plan_numbers
from stationflow.balancing.explained.summary import stop_words
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import MethodInfo
from stationflow.balancing.metrics import gap
from stationflow.model import BalanceResult, BalanceSettings, Explained

__all__ = [
    "MethodInfo",
    "explained_result",
    "methods",
    "result_gap",
    "settings_problems",
    "stop_words",
]


def methods() -> dict[str, MethodInfo]:
    """Return every method by name."""
    return METHODS


def settings_problems(settings: BalanceSettings) -> list[str]:
    """Return what is wrong with the settings, as sentences.

    Without limit and stations the source's own limit is meant, which is known later.
    """
    if settings.limit is None and settings.stations is None:
        settings = replace(settings, limit=1.0)
    return check_settings(settings)


def result_gap(result: BalanceResult) -> float | None:
    """Return how far a plan is above its lower bound, as a share; None where there is none."""
    return gap(result)


def explained_result(result: BalanceResult) -> tuple[Explained, ...]:
    """Return the numbers of a balance, opened; both bases where books differ."""
    return plan_numbers(result)
