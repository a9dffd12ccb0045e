"""Where a part, tool or equipment is used, below its table."""

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from stationflow.actions.showing.where_used import used_names, where_used
from stationflow.editing.named_parts import unlisted_parts, with_named_parts
from stationflow.model.references import Thing
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.tasks import chosen_task


def show_uses(draft: Draft, thing: Thing) -> None:
    """Let the engineer choose a thing by name; show where it is used."""
    opened, key = session.opened(draft), _key(thing)
    names = used_names(opened, thing)
    if not names:
        return
    if st.session_state.get(key) not in names:
        st.session_state.pop(key, None)
    words = f"Choose a row above, or type the {thing}"
    name = st.selectbox(f"Where is the {thing} used?", names, None, key=key, placeholder=words)
    if name is None:
        return
    uses = where_used(opened, thing, name)
    if not uses:
        st.text(f"Nothing uses {name}.")
        return
    places = {task.number: at for at, task in reversed(list(enumerate(draft.product.tasks)))}
    table = f"{key}.table"

    def go() -> None:
        picked = st.session_state[table]["selection"]["rows"]
        if picked and (place := places.get(uses[picked[0]].task)) is not None:
            chosen_task.choose(draft.product, place)

    rows = [
        {"Line": u.line, "Task": u.task or "-", "Name": u.name, "Station": u.station or "-"}
        for u in uses
    ]
    show.table(
        rows,
        f"Where the {thing} {name} is used; choose a row to choose its task",
        on_select=go,
        selection_mode="single-row",
        key=table,
    )


def chooser(thing: Thing, names: Sequence[str]) -> Callable[[int], None]:
    """Return what takes the choice of a row of a table whose rows name these things."""

    def choose(row: int) -> None:
        if row < len(names) and names[row]:
            st.session_state[_key(thing)] = names[row]

    return choose


def show_parts(draft: Draft) -> None:
    """Show the parts list, what fills it, and where its parts are used."""
    parts: Any = draft.product.parts
    if missing := unlisted_parts(draft.product):
        label = f"Add {len(missing)} that tasks name and the list does not hold"
        if st.button(label, icon=":material/playlist_add:", key="tasks.fill_parts") and (
            stored_edits.save(draft, with_named_parts(draft.product))
        ):
            session.rerun("The parts are in the list.")
    choose = chooser(Thing.PART, [part.number for part in parts])
    stored_edits.product_table(draft, "parts", choose=choose)
    show_uses(draft, Thing.PART)


def show_equipment(draft: Draft) -> None:
    """Show the equipment and where it is used."""
    choose = chooser(Thing.EQUIPMENT, [each.name for each in draft.product.equipment])
    stored_edits.product_table(draft, "equipment", choose=choose)
    show_uses(draft, Thing.EQUIPMENT)


def _key(thing: Thing) -> str:
    return f"tasks.uses.{thing}"
