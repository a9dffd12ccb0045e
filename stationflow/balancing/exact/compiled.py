"""The hot parts compiled: never on import, once for each machine, kept on disk."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

from stationflow.balancing.exact import filling_kernel, kernel, packing_kernel


class Kernels(NamedTuple):
    """The compiled functions, under the names of the plain ones."""

    search: Callable[..., Any]
    refill: Callable[..., Any]
    place_of: Callable[..., Any]
    fill_by_value: Callable[..., Any]
    stations_to_the_end: Callable[..., Any]
    mark_partners: Callable[..., Any]
    heaviest_loads: Callable[..., Any]


@cache
def kernels() -> Kernels:
    """Return the compiled functions; the first call on a machine takes some seconds."""
    import numba
    from numba.extending import register_jitable

    for helper in (
        kernel.has,
        kernel.hash_of,
        kernel.place_of,
        kernel.melded,
        kernel.without_root,
        kernel.next_node,
    ):
        register_jitable(helper)

    def compiled(function: Callable[..., Any]) -> Any:
        try:
            return numba.njit(cache=True, nogil=True)(function)
        except RuntimeError:  # nowhere to keep the compiled code: compile in every process
            return numba.njit(nogil=True)(function)

    return Kernels(
        search=compiled(kernel.search),
        refill=compiled(kernel.refill),
        place_of=compiled(kernel.place_of),
        fill_by_value=compiled(filling_kernel.fill_by_value),
        stations_to_the_end=compiled(filling_kernel.stations_to_the_end),
        mark_partners=compiled(packing_kernel.mark_partners),
        heaviest_loads=compiled(packing_kernel.heaviest_loads),
    )
