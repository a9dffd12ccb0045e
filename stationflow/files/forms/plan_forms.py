"""The forms of a stored plan.

1. Every field written.
2. What is as usual left out; what a second solver says stands beside the result.
"""

from collections.abc import Callable
from typing import Any


def confirmation_beside(plan: dict[str, Any]) -> dict[str, Any]:
    """Bring form 1 to form 2."""
    said = plan["result"].pop("confirmation", None)
    return plan if said is None else plan | {"confirmation": said}


STEPS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (confirmation_beside,)
