"""The JSON document of plans side by side."""

from typing import Any

from stationflow.balancing.compare.comparison import Figure
from stationflow.balancing.compare.side_by_side import Comparison, PlanDifferences
from stationflow.files.plan_document import plan_document


def comparison_document(source: str, compared: Comparison) -> dict[str, Any]:
    """Return the comparison, ready for JSON.

    Returns
    -------
    dict
        ``source``; ``base``: name of the plan the others are measured against;
        ``plans``: for each its ``name`` and the document of its balance (`plan_document`);
        ``assumptions``: sentences; ``figures``: rows with ``name``, ``kind`` ("count",
        "share", "time" or null), ``better`` ("less", "more" or null), ``values`` and ``texts``
        by plan, ``differences`` by plan (null, or ``absolute``, ``relative`` and ``text``) and
        ``best``, the names of the best plans; ``differences``: by plan null or ``settings``,
        ``inputs`` and ``stations`` in sentences, ``station_pairs`` as [base, this] and
        ``moves`` with ``task``, ``base`` and ``other`` (station numbers or null).
    """
    return {
        "source": source,
        "base": compared.labels[compared.base],
        "plans": [
            {"name": each.label, **plan_document(source, each.plan.result)}
            for each in compared.plans
        ],
        "assumptions": list(compared.assumptions),
        "figures": [_figure_document(figure) for figure in compared.figures],
        "differences": [_differences_document(each) for each in compared.differences],
    }


def _figure_document(figure: Figure) -> dict[str, Any]:
    """Return one row, ready for JSON."""
    return {
        "name": figure.name,
        "kind": figure.kind.value if figure.kind else None,
        "better": figure.better.value if figure.better else None,
        "values": list(figure.values),
        "texts": list(figure.texts),
        "differences": [
            None if d is None else {"absolute": d.absolute, "relative": d.relative, "text": d.text}
            for d in figure.differences
        ],
        "best": list(figure.best),
    }


def _differences_document(differences: PlanDifferences | None) -> dict[str, Any] | None:
    """Return the differences of one plan, ready for JSON."""
    if differences is None:
        return None
    return {
        "settings": list(differences.settings),
        "inputs": list(differences.inputs),
        "stations": list(differences.stations),
        "station_pairs": [list(pair) for pair in differences.pairs],
        "moves": [
            {"task": move.task, "base": move.base, "other": move.other}
            for move in differences.moves
        ],
    }
