"""The loop compiled: never on import, once for each machine, kept on disk."""

import inspect
from functools import cache
from types import SimpleNamespace
from typing import Any

from stationflow.balancing.exact.compiled import compiled
from stationflow.line.simulation import flow_kernel

CALLED = ("run_through", "present_units")
# Without counting references to the tables, which nothing in the loop makes or drops: five times as
# fast; all in one function: three times more.
PLAIN = {"_nrt": False}


@cache
def flow_kernels() -> Any:
    """Return the compiled functions, under the names of the plain ones.

    The first call on a machine takes some seconds.
    """
    from numba.extending import register_jitable

    functions = {
        name: function
        for name, function in inspect.getmembers(flow_kernel, inspect.isfunction)
        if function.__module__ == flow_kernel.__name__
    }
    for function in functions.values():
        register_jitable(forceinline=True, **PLAIN)(function)
    return SimpleNamespace(
        **{name: compiled(functions[name], nogil=True, **PLAIN) for name in CALLED}
    )
