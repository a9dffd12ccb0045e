"""A comparison as it goes out: tables for spreadsheet programs, a document for JSON."""

from typing import Any

from stationflow.balancing.compare.comparison import Figure, Kind
from stationflow.balancing.compare.plans_compared import Comparison, PlanDifferences
from stationflow.files.exports.sheets_out import SheetColumn, SheetTable, Value
from stationflow.files.plan_document import plan_document
from stationflow.model import Product
from stationflow.units import seconds_in_unit


def comparison_tables(compared: Comparison, product: Product) -> tuple[SheetTable, ...]:
    """Return figures, differences in words and tasks that sit elsewhere as tables.

    Numbers go out as numbers: shares from 0 to 1, times in the unit of the product.
    """
    return (
        figures_table(compared, product),
        words_table(compared, product),
        moved_table(compared, product),
    )


def figures_table(compared: Comparison, product: Product) -> SheetTable:
    """Return the figures of all plans, with the difference of each from the base plan."""
    base = compared.labels[compared.base]
    others = _others(compared)
    columns = [SheetColumn(title="Figure"), SheetColumn(title="Unit")]
    columns += [SheetColumn(title=label) for label in compared.labels]
    for at in others:
        columns += [
            SheetColumn(title=f"{compared.labels[at]} less {base}"),
            SheetColumn(title=f"{compared.labels[at]} less {base} (%)"),
        ]
    columns.append(SheetColumn(title="Best"))
    return SheetTable(
        name="comparison",
        title="Comparison",
        columns=tuple(columns),
        rows=tuple(_figure_row(figure, others, product) for figure in compared.figures),
        about=_about(compared, product),
    )


def words_table(compared: Comparison, product: Product) -> SheetTable:
    """Return what the plans do not share and how each differs from the base plan, in words."""
    rows: list[tuple[Value, ...]] = [("all", "assumptions", s) for s in compared.assumptions]
    for label, said in zip(compared.labels, compared.differences, strict=True):
        if said is not None:
            rows += [(label, "settings", sentence) for sentence in said.settings]
            rows += [(label, "inputs", sentence) for sentence in said.inputs]
            rows += [(label, "stations", sentence) for sentence in said.stations]
    columns = ("Plan", "About", f"Differs from {compared.labels[compared.base]}")
    return SheetTable(
        name="words",
        title="In words",
        columns=tuple(SheetColumn(title=title) for title in columns),
        rows=tuple(rows),
        about=_about(compared, product),
    )


def moved_table(compared: Comparison, product: Product) -> SheetTable:
    """Return the tasks that sit elsewhere, with their station in each plan."""
    names = {task.number: task.name for task in product.tasks}
    columns = [SheetColumn(title="Task"), SheetColumn(title="Name")]
    columns += [SheetColumn(title=f"Station in {label}") for label in compared.labels]
    columns += [SheetColumn(title=f"Moved in {compared.labels[at]}") for at in _others(compared)]
    rows = [
        (
            moved.task,
            names.get(moved.task, ""),
            *moved.stations,
            *("yes" if moved.moved[at] else "no" for at in _others(compared)),
        )
        for moved in compared.moved
    ]
    return SheetTable(
        name="moved",
        title="Tasks that sit elsewhere",
        columns=tuple(columns),
        rows=tuple(rows),
        about=_about(compared, product),
    )


def _others(compared: Comparison) -> list[int]:
    """Return the positions of the plans that are not the base plan."""
    return [at for at in range(len(compared.plans)) if at != compared.base]


def _figure_row(figure: Figure, others: list[int], product: Product) -> tuple[Value, ...]:
    """Return one figure as a row."""

    def number(value: float | None) -> Value:
        if value is None or figure.kind != Kind.TIME:
            return value
        return round(seconds_in_unit(value, product.time_unit), 6)

    unit = product.time_unit.label if figure.kind == Kind.TIME else ""
    unit = "ratio" if figure.kind == Kind.SHARE else unit
    values: list[Value] = [number(value) for value in figure.values]
    if figure.kind is None:
        values = list(figure.texts)
    row: list[Value] = [figure.name, unit, *values]
    for at in others:
        difference = figure.differences[at] if figure.differences else None
        row.append(number(difference.absolute) if difference else None)
        share = difference.relative if difference else None
        row.append(None if share is None else round(100 * share, 4))
    return (*row, figure.best_words)


def _about(compared: Comparison, product: Product) -> str:
    """Return what the tables belong to."""
    line = compared.plans[0].plan.line
    return f"{product.code} {product.name}, line {line}, {', '.join(compared.labels)}"


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
