"""What is single about a task: its neighbours, its time, limits, test and repair data."""

from dataclasses import replace

import streamlit as st

from stationflow.editing import task_changes as changes
from stationflow.model import Product, QualityKind, QualityStep, Side, Task
from stationflow.model.schema.columns import Kind
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.fields import Fields
from stationflow.ui.tasks import chosen_task
from stationflow.ui.tasks.task_toolbar import store

KINDS = {
    None: "none",
    QualityKind.INSPECTION: "inspection",
    QualityKind.SAFETY_TEST: "safety test",
    QualityKind.FUNCTION_TEST: "function test",
    QualityKind.SOAK: "soak",
    QualityKind.REPAIR: "repair",
}


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
    columns = st.columns([1, 3, 2, 1], vertical_alignment="bottom")
    with columns[0]:
        fields.time(
            "time_sd_ms",
            "Deviation",
            product.time_unit,
            help="Standard deviation of the time; empty: not known.",
        )
    with columns[1]:
        fields.text("time_source", "Where the time comes from, with date")
    with columns[2]:
        pictures = ["", *sorted(p.name for p in product.pictures)]
        fields.choice("picture", "Picture of the whole task", pictures, lambda n: n or "none")
    with columns[3]:
        fields.switch("machine", "Machine time", help="The time is a machine's.")
    _store(draft, place, replace(task, **fields.changes), bool(fields.changes))


def show_limits(draft: Draft, place: int) -> None:
    """Let the engineer enter where and how a task may be done."""
    product, task = draft.product, draft.product.tasks[place]
    key = f"{product.code}.{chosen_task.task_keys(product)[place]}"
    fields = Fields(f"limits.{key}", task.limits)
    others = [t.number for t in product.tasks if t.line == task.line and t.number != task.number]
    st.caption(
        "Where and how the task may be done, beyond precedence. Empty: no limit. Each entry is "
        "stored at once."
    )
    place_, group, body, may = st.columns(4, gap="medium")
    with place_:
        fields.number("station", "Only at station", Kind.WHOLE, lowest=1)
        fields.text("zone", "Zone")
        sides = (None, Side.LEFT, Side.RIGHT, Side.EITHER)
        fields.choice("side", "Side of the line", sides, lambda side: side or "not stated")
        fields.several("equipment", "Needs equipment", _equipment(product), is_open=True)
    with group:
        fields.text("together", "Together: label of a group that shares a station")
        fields.several("apart", "Not at the same station as", others)
        fields.several(
            "independent_of",
            "Other operator than",
            others,
            help="Tasks whose operator may not do this one: a check of their work.",
        )
        fields.text("skill", "Skill or certificate")
    with body:
        fields.text("attitude", "How the unit lies")
        fields.number("working_height_mm", "Working height (mm)")
        fields.number("space_mm", "Width at the line (mm)")
        fields.number("lift_kg", "Lifted by hand (kg)")
    with may:
        fields.answer("while_moving", "While the unit moves")
        fields.answer("crossing", "May cross the limit of the station")
        fields.switch("static_safe", "Static-protected area")
        fields.switch("guarded", "High-voltage guard")
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
    for row in (("process_ms", "repair_ms", "positions", "power_w"),
                ("first_pass_share", "repeat_pass_share", "scrap_share")):  # fmt: skip
        for column, name in zip(st.columns(4), row, strict=False):
            with column:
                _quality_field(fields, name, product)
    edited = replace(task, quality=replace(task.quality, **fields.changes))
    _store(draft, place, edited, bool(fields.changes))


def _quality_field(fields: Fields, name: str, product: Product) -> None:
    """Show one field of the test and repair data."""
    match name:
        case "process_ms":
            words = "Time the unit is tested or soaked without an operator."
            fields.time(name, "Time without operator", product.time_unit, help=words)
        case "repair_ms":
            fields.time(name, "Repair time of a reject", product.time_unit)
        case "positions":
            fields.number(name, "Places", Kind.WHOLE, lowest=1, help="Empty: to be computed.")
        case "power_w":
            fields.number(name, "Power of one place (W)")
        case "first_pass_share":
            fields.number(name, "Passed the first time (share)", Kind.SHARE)
        case "repeat_pass_share":
            fields.number(name, "Passed after repair (share)", Kind.SHARE)
        case _:
            fields.number(name, "Scrapped rejects (share)", Kind.SHARE)


def _equipment(product: Product) -> list[str]:
    """Return the names of equipment that the product knows."""
    named = [name for task in product.tasks for name in task.limits.equipment]
    return sorted({*(item.name for item in product.equipment), *named})


def _store(draft: Draft, place: int, task: Task, is_changed: bool) -> None:
    """Store a task that was changed in a field, and draw the page anew."""
    product = draft.product
    tasks = (*product.tasks[:place], task, *product.tasks[place + 1 :])
    if is_changed and stored_edits.save(draft, replace(product, tasks=tasks)):
        session.notice(f"Task {task.number} is stored.")
        session.rerun()
