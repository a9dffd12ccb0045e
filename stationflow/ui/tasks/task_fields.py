"""What is single about a task: its neighbours, its time, limits, test and repair data."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from stationflow.actions.showing.explaining import Numbers
from stationflow.editing.task_changes import followers_of, with_followers, with_predecessors
from stationflow.editing.task_mentions import TaskChange
from stationflow.model import Lift, Product, QualityKind, QualityStep, Task
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.fields import Fields, stored_at_once
from stationflow.ui.tasks import chosen_task
from stationflow.ui.text import plain

OF_SOAK = {"handling_ms", "spare_positions", "outage_min", "pitch_m"}
OF_TESTS = {"lot", "sample_level", "aql_percent"}
NOT_ASKED = {kind: OF_TESTS if kind == QualityKind.SOAK else OF_SOAK for kind in QualityKind} | {
    QualityKind.REPAIR: OF_SOAK | OF_TESTS
}
"""The fields that have no meaning for a kind of quality step."""
Neighbours = Callable[[Product, int, Sequence[str]], TaskChange]
KINDS = {None: "none", **(TABLE["quality"].columns[1].titles or {})}


def show_neighbours(draft: Draft, place: int) -> None:
    """Let the engineer choose what comes before and after a task, and enter the rest of it."""
    product, task = draft.product, draft.product.tasks[place]
    key = _key(product, place)
    numbers = [t.number for t in product.tasks if t.number != task.number]
    name_of = {t.number: t.name for t in reversed(product.tasks)}
    after, before = task.predecessors, followers_of(product, task.number)
    sides = (
        ("after", "After: these tasks must be finished before", after, with_predecessors),
        ("before", "Before: these tasks wait for it", before, with_followers),
    )
    for column, (name, label, now, edited) in zip(st.columns(2), sides, strict=True):

        def store(chosen: tuple[str, ...], edited: Neighbours = edited) -> bool:
            return _change(draft, place, lambda product, at: edited(product, at, chosen))

        column.multiselect(
            label,
            list(dict.fromkeys((*now, *numbers))),
            default=list(dict.fromkeys(now)),
            format_func=lambda number: f"{number}  {name_of.get(number, '(no such task)')}",
            placeholder="none; search by number or name",
            **stored_at_once(f"tasks.{name}.{key}", now, store, tuple, list),
        )

    def store_own(field: str, new: Any) -> bool:
        return _edit(draft, place, lambda t: replace(t, **{field: new}))

    Fields(f"fields.{key}", task, store_own).form(TABLE["tasks"], product)


def show_limits(draft: Draft, place: int) -> None:
    """Let the engineer enter where and how a task may be done."""
    product, task = draft.product, draft.product.tasks[place]

    def store(field: str, new: Any) -> bool:
        return _edit(draft, place, lambda t: replace(t, limits=replace(t.limits, **{field: new})))

    st.caption(
        "Where and how the task may be done, beyond precedence. Empty: no limit. Each entry is "
        "stored at once."
    )
    others = [t.number for t in product.tasks_of(task.line) if t.number != task.number]
    fields = Fields(f"limits.{_key(product, place)}", task.limits, store)
    fields.form(TABLE["limits"], product, others)


def show_quality(draft: Draft, place: int) -> None:
    """Let the engineer enter what a task does for quality."""
    product, quality = draft.product, draft.product.tasks[place].quality
    key = f"quality.{_key(product, place)}"
    kind = quality.kind if quality else None

    def store_kind(new: QualityKind | None) -> bool:
        def edited(task: Task) -> Task:
            step = replace(task.quality or QualityStep(kind=new), kind=new) if new else None
            return replace(task, quality=step)

        return _edit(draft, place, edited)

    def store(field: str, new: Any) -> bool:
        def edited(task: Task) -> Task:
            return replace(task, quality=task.quality and replace(task.quality, **{field: new}))

        return _edit(draft, place, edited)

    st.selectbox(
        "What the task does for quality",
        list(KINDS),
        index=list(KINDS).index(kind),
        format_func=lambda k: KINDS[k],
        width=330,
        **stored_at_once(f"{key}.kind", kind, store_kind),
    )
    if quality is None:
        st.caption("Choose a kind to enter test, soak or repair data.")
    else:
        fields = Fields(key, quality, store)
        fields.form(TABLE["quality"], product, without=NOT_ASKED[quality.kind])


def show_lift(draft: Draft, place: int) -> None:
    """Let the engineer enter how a load is lifted, and see how much may be."""
    product, task = draft.product, draft.product.tasks[place]

    def store(field: str, new: Any) -> bool:
        def edited(task: Task) -> Task:
            lift = replace(task.lift or Lift(), **{field: new})
            return replace(task, lift=None if lift == Lift() else lift)

        return _edit(draft, place, edited)

    st.caption(
        "With both hands, standing. The mass, and how often in one unit, stand under Limits. The "
        "lifting index is no medical judgement, and local law goes before it."
    )
    fields = Fields(f"lift.{_key(product, place)}", task.lift or Lift(), store)
    fields.form(TABLE["lifts"], product)
    if said := Numbers(product, task.line, None).lift(task.number):
        if said.finding:
            st.warning(plain(said.finding.message))
        show.opened(said.numbers)


def _key(product: Product, place: int) -> str:
    return f"{product.code}.{chosen_task.task_keys(product)[place]}"


def _edit(draft: Draft, place: int, edited: Callable[[Task], Task]) -> bool:
    """Store a task that was changed in a field; return whether it is in the store."""

    def with_task(product: Product, at: int) -> TaskChange:
        task = edited(product.tasks[at])
        tasks = (*product.tasks[:at], task, *product.tasks[at + 1 :])
        return TaskChange(replace(product, tasks=tasks), at, f"Task {task.number} is stored.")

    return _change(draft, place, with_task)


def _change(draft: Draft, place: int, edited: Callable[[Product, int], TaskChange]) -> bool:
    """Store what an edit makes of a task, which may stand at another place by now."""
    key, said = chosen_task.task_keys(draft.product)[place], ""

    def of_task(product: Product) -> Product:
        nonlocal said
        keys = chosen_task.task_keys(product)
        if key not in keys:
            return product
        change = edited(product, keys.index(key))
        said = change.words
        return change.product

    is_stored = stored_edits.change(draft, of_task)
    if is_stored and said:
        session.notice(said)
    return is_stored
