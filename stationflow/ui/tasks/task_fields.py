"""What is single about a task: its neighbours, its time, limits, test and repair data."""

from dataclasses import replace
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from stationflow.actions.showing.explaining import Numbers
from stationflow.editing import task_changes as changes
from stationflow.model import Lift, Product, QualityKind, QualityStep
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.fields import Fields
from stationflow.ui.tasks import chosen_task
from stationflow.ui.tasks.task_toolbar import store
from stationflow.ui.text import plain

OF_SOAK = {"handling_ms", "spare_positions", "outage_min", "pitch_m"}
OF_TESTS = {"lot", "sample_level", "aql_percent"}
NOT_ASKED = {kind: OF_TESTS if kind == QualityKind.SOAK else OF_SOAK for kind in QualityKind} | {
    QualityKind.REPAIR: OF_SOAK | OF_TESTS
}
"""The fields that have no meaning for a kind of quality step."""
KINDS = {None: "none", **(TABLE["quality"].columns[1].titles or {})}


def show_neighbours(draft: Draft, place: int) -> None:
    """Let the engineer choose what comes before and after a task, and enter the rest of it."""
    product, task = draft.product, draft.product.tasks[place]
    key = _key(product, place)
    numbers = [t.number for t in product.tasks if t.number != task.number]
    before = list(dict.fromkeys(task.predecessors))
    after = list(changes.followers_of(product, task.number))
    name_of = {t.number: t.name for t in reversed(product.tasks)}
    left, right = st.columns(2)

    def choice(column: DeltaGenerator, label: str, now: list[str], name: str) -> list[str]:
        return column.multiselect(
            label,
            list(dict.fromkeys((*now, *numbers))),
            default=now,
            format_func=lambda number: f"{number}  {name_of.get(number, '(no such task)')}",
            placeholder="none; search by number or name",
            key=f"tasks.{name}.{key}.{now}",
        )

    chosen = choice(left, "After: these tasks must be finished before", before, "after")
    following = choice(right, "Before: these tasks wait for it", after, "before")
    if chosen != before:
        store(draft, lambda: changes.with_predecessors(product, place, chosen))
    if set(following) != set(after):
        store(draft, lambda: changes.with_followers(product, place, following))
    fields = Fields(f"fields.{key}", task)
    fields.form(TABLE["tasks"], product)
    _store(draft, place, **fields.changes)


def show_limits(draft: Draft, place: int) -> None:
    """Let the engineer enter where and how a task may be done."""
    product, task = draft.product, draft.product.tasks[place]
    fields = Fields(f"limits.{_key(product, place)}", task.limits)
    st.caption(
        "Where and how the task may be done, beyond precedence. Empty: no limit. Each entry is "
        "stored at once."
    )
    others = [t.number for t in product.tasks_of(task.line) if t.number != task.number]
    fields.form(TABLE["limits"], product, others)
    _store(draft, place, limits=replace(task.limits, **fields.changes))


def show_quality(draft: Draft, place: int) -> None:
    """Let the engineer enter what a task does for quality."""
    product, quality = draft.product, draft.product.tasks[place].quality
    key = f"quality.{_key(product, place)}"
    kind = quality.kind if quality else None
    chosen = st.selectbox(
        "What the task does for quality",
        list(KINDS),
        index=list(KINDS).index(kind),
        format_func=lambda k: KINDS[k],
        key=f"{key}.kind.{kind}",
        width=330,
    )
    if chosen is None:
        _store(draft, place, quality=None)
        st.caption("Choose a kind to enter test, soak or repair data.")
    elif quality is None:
        _store(draft, place, quality=QualityStep(kind=chosen))
    else:
        fields = Fields(key, replace(quality, kind=chosen))
        fields.form(TABLE["quality"], product, without=NOT_ASKED[chosen])
        _store(draft, place, quality=replace(quality, **{"kind": chosen, **fields.changes}))


def show_lift(draft: Draft, place: int) -> None:
    """Let the engineer enter how a load is lifted, and see how much may be."""
    product, task = draft.product, draft.product.tasks[place]
    st.caption(
        "With both hands, standing. The mass, and how often in one unit, stand under Limits. The "
        "lifting index is no medical judgement, and local law goes before it."
    )
    lift = task.lift or Lift()
    fields = Fields(f"lift.{_key(product, place)}", lift)
    fields.form(TABLE["lifts"], product)
    edited = replace(lift, **fields.changes)
    _store(draft, place, lift=None if edited == Lift() else edited)
    if said := Numbers(product, task.line, None).lift(task.number):
        if said.finding:
            st.warning(plain(said.finding.message))
        show.opened(said.numbers)


def _key(product: Product, place: int) -> str:
    return f"{product.code}.{chosen_task.task_keys(product)[place]}"


def _store(draft: Draft, place: int, **changes: Any) -> None:
    """Store a task that was changed in a field, and draw the page anew."""
    product, task = draft.product, draft.product.tasks[place]
    edited = replace(task, **changes)
    tasks = (*product.tasks[:place], edited, *product.tasks[place + 1 :])
    if edited != task and stored_edits.save(draft, replace(product, tasks=tasks)):
        session.rerun(f"Task {edited.number} is stored.")
