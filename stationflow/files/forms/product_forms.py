"""The forms of a stored product.

1. Every field written, times as seconds.
2. What is as usual left out, times as whole milliseconds.
"""

import math
from collections.abc import Callable
from typing import Any

from stationflow.units import milliseconds

TIMES = ("time", "time_sd", "shortest", "longest", "repositioning", "process", "repair")
MS_OF = {f"{name}_s": f"{name}_ms" for name in TIMES}


def in_milliseconds(product: dict[str, Any]) -> dict[str, Any]:
    """Bring form 1 to form 2."""
    return {MS_OF.get(name, name): _in_ms(name, value) for name, value in product.items()}


def _in_ms(name: str, value: Any) -> Any:
    """Return the value of a field, and of those inside it, with times in milliseconds."""
    if isinstance(value, list):
        return [_in_ms("", each) for each in value]
    if isinstance(value, dict):
        return in_milliseconds(value)
    is_time = name in MS_OF and isinstance(value, int | float) and math.isfinite(value)
    return milliseconds(value) if is_time else value


STEPS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (in_milliseconds,)
