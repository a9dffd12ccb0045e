"""A comparison as it goes out: tables for spreadsheet programs, a document for JSON."""

from dataclasses import asdict
from typing import Any

from stationflow.balancing.compare.comparison import Figure, Kind
from stationflow.balancing.compare.plans_compared import Comparison, PlanDifferences
from stationflow.files.exports.sheets_out import SheetTable, Value, titled
from stationflow.files.plan_document import plan_document
from stationflow.model import Product
from stationflow.units import seconds_in_unit


def comparison_tables(compared: Comparison, product: Product) -> tuple[SheetTable, ...]:
    """Return figures, differences in words and tasks that sit elsewhere as tables.

    Numbers go out as numbers: shares from 0 to 1, times in the unit of the product.
    """
    return tuple(made(compared, product) for made in (figures_table, words_table, moved_table))


def figures_table(compared: Comparison, product: Product) -> SheetTable:
    """Return the figures of all plans, with the difference of each from the base plan."""
    others = _others(compared)
    titles = ["Figure", "Unit", *compared.labels]
    for at in others:
        less = f"{compared.labels[at]} less {compared.labels[compared.base]}"
        titles += [less, f"{less} (%)"]
    rows = tuple(_figure_row(figure, others, product) for figure in compared.figures)
    columns = titled(*titles, "Best")
    return SheetTable("comparison", "Comparison", columns, rows, _about(compared, product))


def words_table(compared: Comparison, product: Product) -> SheetTable:
    """Return what the plans do not share and how each differs from the base plan, in words."""
    rows: list[tuple[Value, ...]] = [("all", "assumptions", s) for s in compared.assumptions]
    for label, said in zip(compared.labels, compared.differences, strict=True):
        for about in ("settings", "inputs", "stations") if said is not None else ():
            rows += [(label, about, sentence) for sentence in getattr(said, about)]
    columns = titled("Plan", "About", f"Differs from {compared.labels[compared.base]}")
    return SheetTable("words", "In words", columns, tuple(rows), _about(compared, product))


def moved_table(compared: Comparison, product: Product) -> SheetTable:
    """Return the tasks that sit elsewhere, with their station in each plan."""
    names = {task.number: task.name for task in product.tasks}
    others = _others(compared)
    titles = ["Task", "Name", *(f"Station in {label}" for label in compared.labels)]
    titles += [f"Moved in {compared.labels[at]}" for at in others]
    rows = tuple(
        (
            moved.task,
            names.get(moved.task, ""),
            *moved.stations,
            *("yes" if moved.moved[at] else "no" for at in others),
        )
        for moved in compared.moved
    )
    about = _about(compared, product)
    return SheetTable("moved", "Tasks that sit elsewhere", titled(*titles), rows, about)


def _others(compared: Comparison) -> list[int]:
    """Return the positions of the plans that are not the base plan."""
    return [at for at in range(len(compared.plans)) if at != compared.base]


def _figure_row(figure: Figure, others: list[int], product: Product) -> tuple[Value, ...]:
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
    line = compared.plans[0].plan.line
    return f"{product.code} {product.name}, line {line}, {', '.join(compared.labels)}"


def comparison_document(source: str, compared: Comparison) -> dict[str, Any]:
    """Return the comparison, ready for JSON.

    Of each plan its name and the document of its balance; of each figure what `Figure` holds, by
    plan; of each plan but the base what `PlanDifferences` holds, with the pairs of stations as
    ``station_pairs``: [base, this].
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
    """Return one row, ready for JSON: its words for the best are left out."""
    return {name: value for name, value in asdict(figure).items() if name != "best_words"}


def _differences_document(differences: PlanDifferences | None) -> dict[str, Any] | None:
    if differences is None:
        return None
    said = asdict(differences)
    said["station_pairs"] = said.pop("pairs")
    return said
