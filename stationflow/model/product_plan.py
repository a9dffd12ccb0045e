"""The plans in force of all lines of a product together."""

from dataclasses import dataclass

from stationflow.model.plan import BalanceResult


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlan:
    """The plan of one line."""

    line: str
    result: BalanceResult
    plan_id: int | None = None  # in the store; None: it is not stored


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductPlan:
    """The plan of each line; a line without one is not in it."""

    lines: tuple[LinePlan, ...] = ()

    def of(self, line: str) -> LinePlan | None:
        """Return the plan of a line, or None."""
        return next((plan for plan in self.lines if plan.line == line), None)
