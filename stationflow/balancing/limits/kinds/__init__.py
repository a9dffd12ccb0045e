"""The kinds of limits, one module each: a new module with a `LIMIT` is a new kind by that."""

from importlib import import_module
from pkgutil import iter_modules

from stationflow.balancing.limits.forms import Limit

_MODULES = [import_module(f"{__name__}.{found.name}") for found in iter_modules(__path__)]

LIMITS: tuple[Limit, ...] = tuple(m.LIMIT for m in _MODULES)
"""Every kind of limit that some method keeps."""

LINE_FIELDS: tuple[str, ...] = tuple(dict.fromkeys(f for kind in LIMITS for f in kind.line_fields))
"""What is entered for a line and is a limit of all its stations, or is counted by one."""
