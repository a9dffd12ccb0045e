"""The editable table of tasks, and what an edit of it does to the product."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from stationflow.balancing.time_words import count
from stationflow.editing.renaming import fresh_number, renumbered
from stationflow.editing.renumbering import read_numbers
from stationflow.model import Finding, ModelTime, Product, Severity, Task
from stationflow.model.schema.columns import Kind
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.detail_tables import DetailTable
from stationflow.ui.grids.grid_columns import Column, grid_column, read, shown_time
from stationflow.ui.grids.grid_state import GridEdit
from stationflow.ui.tasks import chosen_task
from stationflow.units import TimeUnit


def show_table(draft: Draft, line: str) -> None:
    """Show the tasks of a line as an editable table."""
    product, tasks = draft.product, draft.product.tasks_of(line)
    places = list(chosen_task.places_of(product, line).values())
    chosen = chosen_task.chosen_place(product, line)
    stored_edits.table(
        f"tasks.{product.code}.{line}",
        draft,
        DetailTable("Tasks", task_columns(product), lambda: Task(number="", line=line)),
        tasks,
        lambda edit: edited_product(product, tasks, edit),
        height=560,
        choose=lambda row: chosen_task.choose(product, places[row]) if row < len(places) else None,
        chosen=None if chosen is None else places.index(chosen),
    )


def task_columns(product: Product) -> list[Column]:
    """Return the columns of the task table: one more for each model of a mix."""
    table = TABLE["tasks"]
    columns = {c.name: grid_column(table, c, product) for c in table.columns if c.grid}
    # Beside the diagram on a page of 1280 pixels there is room for 640.
    names = 190 if product.models else 245 if len(product.lines) > 1 else 270
    columns["name"] = replace(columns["name"], width=names)
    columns["predecessors"] = replace(
        columns["predecessors"],
        put=lambda task, text: replace(task, predecessors=read_numbers(text, product, task.number)),
    )
    line = replace(columns.pop("line"), options=[line.name for line in product.lines])
    models = dict.fromkeys(model.name for model in product.models)  # a draft may name one twice
    of_models = [_model_column(model, product.time_unit) for model in models]
    return [*columns.values(), *of_models, *([line] if len(product.lines) > 1 else ())]


def _model_column(model: str, unit: TimeUnit) -> Column:
    """Return the column of the times of one model; empty: as the task's own time."""

    def show(task: Task) -> str:
        own = next((t.time_ms for t in task.model_times if t.model == model), None)
        return shown_time(own, unit)

    def put(task: Task, text: str) -> Any:
        others = tuple(t for t in task.model_times if t.model != model)
        if not text:
            return replace(task, model_times=others)
        own = ModelTime(model=model, time_ms=read(text, Kind.TIME, unit=unit))
        return replace(task, model_times=(*others, own))

    return Column(
        f"{f'Model {model}' if model in ('', 'Time') else model} ({unit.label})",
        show=show,
        put=put,
        width=90,
        is_number=True,
        help=f"Time for model {model} where it differs; 0: the model does not need the task.",
    )


def edited_product(product: Product, shown: Sequence[Task], edit: GridEdit) -> Product:
    """Return the product with the edited tasks in the places of the shown ones.

    Tasks without a number get a fresh one. When a task is given another number,
    every arrow, join and time between tasks that named it follows.
    """
    taken = {task.number for task in (*product.tasks, *edit.records)}
    after: dict[int, Task] = {}
    added: list[Task] = []
    for task, was in zip(edit.records, edit.came_from, strict=True):
        numbered = replace(task, number=task.number or fresh_number(taken))
        taken.add(numbered.number)
        if was is None:
            added.append(numbered)
        else:
            after[was] = numbered
    place = {id(task): i for i, task in enumerate(shown)}
    now = [after.get(place[id(t)]) if id(t) in place else t for t in product.tasks]
    tasks = tuple(task for task in (*now, *added) if task is not None)
    new_numbers = {
        shown[was].number: task.number
        for was, task in after.items()
        if shown[was].number != task.number
    }
    entered = {id(task) for task in (*after.values(), *added)}
    return renumbered(_with_ranges(replace(product, tasks=tasks), entered), new_numbers)


def _with_ranges(product: Product, entered: Collection[int]) -> Product:
    """Return the product with ranges read that name tasks entered with them; `entered`: ids."""
    known = {task.number for task in product.tasks}

    def read_again(task: Task) -> Task:
        if id(task) not in entered or known.issuperset(task.predecessors):
            return task
        numbers = read_numbers("; ".join(task.predecessors), product, task.number)
        return replace(task, predecessors=numbers)

    return replace(product, tasks=tuple(read_again(task) for task in product.tasks))


def counted(product: Product, line: str, found: Sequence[Finding]) -> str:
    """Return how many tasks there are and how many findings wait below, with their signs."""
    tasks = len(product.tasks_of(line))
    words = [f"{count(tasks, 'task')} on this line, {len(product.tasks)} in all"]
    counts = Counter(finding.severity for finding in found)
    words += [
        f"{show.ICONS[s]} :{show.COLOURS[s]}[{count(counts[s], s)}]"
        for s in (Severity.ERROR, Severity.WARNING)
        if counts[s]
    ]
    return " · ".join(words)
