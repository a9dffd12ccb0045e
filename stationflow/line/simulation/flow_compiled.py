"""The loop compiled: never on import, once for each machine, kept on disk."""

import inspect
from collections.abc import Callable
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from stationflow.balancing.exact.compiled import compiled
from stationflow.balancing.exact.preparation import prepare_by
from stationflow.line.simulation import flow_kernel
from stationflow.line.simulation.flow_arrays import flow_tables
from stationflow.line.simulation.flow_model import Duration, unpaced_line

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


def prepare(announce: Callable[[], None] = lambda: None) -> None:
    """Make the loop ready; `announce` is called once if it is compiled for it just now."""
    # Of its own: it waits for no search that is compiled, which the app does far back.
    prepare_by("simulation", announce, _run_once)


@cache
def _run_once() -> None:
    tables = flow_tables(unpaced_line((Duration(mean_s=1.0),)), 0, 0)
    kernels = flow_kernels()
    kernels.run_through(tables, np.array([2.0]), np.zeros((1, 15)), 0, 100)
    kernels.present_units(tables, 0, 2.0)
