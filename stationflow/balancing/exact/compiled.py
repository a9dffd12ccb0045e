"""The hot parts compiled: never on import, once for each machine, kept on disk."""

from __future__ import annotations

import inspect
import zlib
from collections.abc import Callable
from functools import cache
from types import SimpleNamespace
from typing import Any

from stationflow.balancing.exact import filling_kernel, kernel, packing_kernel
from stationflow.balancing.exact.limited import limited_kernel

CALLED = (
    kernel.search,
    kernel.refill,
    kernel.place_of,
    filling_kernel.fill_by_value,
    filling_kernel.stations_to_the_end,
    packing_kernel.mark_partners,
    packing_kernel.heaviest_loads,
    limited_kernel.narrow_windows,
)
INSIDE = (
    kernel.has,
    kernel.hash_of,
    kernel.place_of,
    kernel.melded,
    kernel.without_root,
    kernel.next_node,
    limited_kernel.is_same,
    limited_kernel.turned_time,
)
"""What the compiled functions call."""


@cache
def kernels() -> Any:
    """Return the compiled functions, under the names of the plain ones.

    The first call on a machine takes some seconds.
    """
    from numba.extending import register_jitable

    for helper in INSIDE:
        register_jitable(helper)
    search_limited = limited_kernel.search_of(zlib.crc32(inspect.getsource(kernel).encode()))
    called = (*CALLED, search_limited)
    return SimpleNamespace(**{each.__name__: compiled(each, nogil=True) for each in called})


def compiled(function: Callable[..., Any], **options: bool) -> Any:
    """Return a function compiled, and kept on disk where there is room for it."""
    import numba

    try:
        return numba.njit(cache=True, **options)(function)
    except RuntimeError:  # nowhere to keep the compiled code: compile in every process
        return numba.njit(**options)(function)
