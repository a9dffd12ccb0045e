"""The arrows between the tasks of each line as a graph."""

from collections.abc import Iterable
from typing import Any

from stationflow.model import Task


def task_graph(tasks: Iterable[Task]) -> Any:
    """Return the tasks by number as a graph of networkx, with the arrows inside each line."""
    import networkx as nx

    tasks = tuple(tasks)
    line_of = {task.number: task.line for task in tasks}
    graph: Any = nx.DiGraph()
    graph.add_nodes_from(line_of)
    graph.add_edges_from(
        (before, task.number)
        for task in tasks
        for before in task.predecessors
        if line_of.get(before) == task.line
    )
    return graph
