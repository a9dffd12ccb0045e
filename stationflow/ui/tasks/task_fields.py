"""What is single about a task: its neighbours, its time, limits, test and repair data."""

from dataclasses import replace

import streamlit as st

from stationflow.editing import task_changes as changes
from stationflow.model import QualityStep, Task
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.fields import Fields
from stationflow.ui.tasks import chosen_task
from stationflow.ui.tasks.task_toolbar import store

KINDS = {None: "none", **(TABLE["quality"].columns[1].titles or {})}


def show_neighbours(draft: Draft, place: int) -> None:
    """Let the engineer choose what comes before and after a task, and enter the rest of it."""
    product, task = draft.product, draft.product.tasks[place]
    key = f"{product.code}.{chosen_task.task_keys(product)[place]}"
    numbers = list(dict.fromkeys(t.number for t in product.tasks if t.number != task.number))
    before = list(dict.fromkeys(task.predecessors))
    after = list(changes.followers_of(product, task.number))
    name_of = {t.number: t.name for t in reversed(product.tasks)}

    def label(number: str) -> str:
        return f"{number}  {name_of[number]}" if number in name_of else f"{number}  (no such task)"

    left, right = st.columns(2)
    chosen = left.multiselect(
        "After: these tasks must be finished before",
        list(dict.fromkeys((*before, *numbers))),
        default=before,
        format_func=label,
        placeholder="none; search by number or name",
        key=f"tasks.after.{key}.{before}",
    )
    following = right.multiselect(
        "Before: these tasks wait for it",
        list(dict.fromkeys((*after, *numbers))),
        default=after,
        format_func=label,
        placeholder="none; search by number or name",
        key=f"tasks.before.{key}.{after}",
    )
    if chosen != before:
        store(draft, lambda: changes.with_predecessors(product, place, chosen))
    if set(following) != set(after):
        store(draft, lambda: changes.with_followers(product, place, following))
    fields = Fields(f"fields.{key}", task)
    fields.form(TABLE["tasks"], product)
    _store(draft, place, replace(task, **fields.changes), bool(fields.changes))


def show_limits(draft: Draft, place: int) -> None:
    """Let the engineer enter where and how a task may be done."""
    product, task = draft.product, draft.product.tasks[place]
    key = f"{product.code}.{chosen_task.task_keys(product)[place]}"
    fields = Fields(f"limits.{key}", task.limits)
    st.caption(
        "Where and how the task may be done, beyond precedence. Empty: no limit. Each entry is "
        "stored at once."
    )
    others = [t.number for t in product.tasks_of(task.line) if t.number != task.number]
    fields.form(TABLE["limits"], product, others)
    edited = replace(task, limits=replace(task.limits, **fields.changes))
    _store(draft, place, edited, bool(fields.changes))


def show_quality(draft: Draft, place: int) -> None:
    """Let the engineer enter what a task does for quality."""
    product, task = draft.product, draft.product.tasks[place]
    key = f"quality.{product.code}.{chosen_task.task_keys(product)[place]}"
    kind = task.quality.kind if task.quality else None
    chosen = st.selectbox(
        "What the task does for quality",
        list(KINDS),
        index=list(KINDS).index(kind),
        format_func=lambda k: KINDS[k],
        key=f"{key}.kind.{kind}",
        width=330,
    )
    if chosen != kind:
        quality = None
        if chosen is not None:
            quality = (
                replace(task.quality, kind=chosen) if task.quality else QualityStep(kind=chosen)
            )
        _store(draft, place, replace(task, quality=quality), is_changed=True)
    if task.quality is None:
        st.caption("Choose a kind to enter test, soak or repair data.")
        return
    fields = Fields(key, task.quality)
    fields.form(TABLE["quality"], product)
    edited = replace(task, quality=replace(task.quality, **fields.changes))
    _store(draft, place, edited, bool(fields.changes))


def _store(draft: Draft, place: int, task: Task, is_changed: bool) -> None:
    """Store a task that was changed in a field, and draw the page anew."""
    product = draft.product
    tasks = (*product.tasks[:place], task, *product.tasks[place + 1 :])
    if is_changed and stored_edits.save(draft, replace(product, tasks=tasks)):
        session.notice(f"Task {task.number} is stored.")
        session.rerun()
