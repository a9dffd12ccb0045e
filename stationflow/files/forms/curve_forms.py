"""The forms of a stored curve.

1. Every field written.
2. What is as usual left out.
"""

from collections.abc import Callable
from typing import Any


def defaults_left_out(curve: dict[str, Any]) -> dict[str, Any]:
    """Bring form 1 to form 2."""
    return curve


STEPS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (defaults_left_out,)
