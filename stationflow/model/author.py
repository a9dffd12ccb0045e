"""Who writes to the store, when, and with what right."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Right(StrEnum):
    """What somebody may do; each right has those before it too."""

    VIEW = "view"
    PLAN = "plan"


@dataclass(frozen=True, slots=True)
class Author:
    """Who does something, when (aware UTC), and with what right."""

    name: str
    at: datetime
    right: Right = Right.PLAN

    def may(self, right: Right) -> bool:
        """Return whether the author has a right."""
        order = list(Right)
        return order.index(self.right) >= order.index(right)
