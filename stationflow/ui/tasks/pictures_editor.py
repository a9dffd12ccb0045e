"""The pictures of a product: upload, turn, crop, rename, replace, take out."""

from typing import Any

import streamlit as st

from stationflow.actions.products import picture_edits
from stationflow.files.pictures import edited_picture
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain

TYPES = ["png", "jpg", "jpeg", "webp"]
OPEN, WANTED = "pictures.open", "pictures.wanted"
WHOLE = (0, 100)
PREVIEW_WIDTH = 420
MANY, LIST_HEIGHT = 12, 380  # so many names scroll in a box of their own


def show_pictures(draft: Draft) -> None:
    """Show the pictures of a product and let the engineer edit them; every edit can be undone."""
    product = draft.product
    listed, shown = st.columns([2, 5], gap="large")
    with listed:
        _upload(draft)
        name = _choice(product)
    if name is None:
        return
    content = session.store().pictures(product).get(name)
    with shown:
        if content is None:
            st.warning(f"The file of {plain(name)} is missing in the store. Replace the picture.")
        else:
            _edit(draft, name, content)
        _file_work(draft, name)


def _upload(draft: Draft) -> None:
    turn = st.session_state.get("pictures.turn", 0)
    files: list[Any] = st.file_uploader(
        "Add pictures (PNG, JPEG, WebP)",
        type=TYPES,
        accept_multiple_files=True,
        key=f"pictures.upload.{turn}",
    )
    taken: set[str] = st.session_state.setdefault("pictures.taken", set())  # by the file's id
    files = [file for file in files if file.file_id not in taken]
    if not files:
        return
    product, contents, names = draft.product, dict[str, bytes](), list[str]()
    for file in files:
        with show.errors():
            product, new, name = picture_edits.take_picture(product, file.name, file.getvalue())
            contents.update(new)
            names.append(name)
    if names and stored_edits.save(draft, product, contents):
        taken.update(file.file_id for file in files)  # a run that is cut short here took them
        st.session_state["pictures.turn"] = turn + 1
        st.session_state[WANTED] = names[-1]
        session.notice(f"Stored: {', '.join(names)}.")
        if len(names) == len(files):
            session.rerun()


def _choice(product: Product) -> str | None:
    names = sorted((p.name for p in product.pictures), key=str.casefold)
    if not names:
        st.caption("No picture yet. What is uploaded here can be chosen for tasks and steps.")
        return None
    if st.session_state.get(WANTED) in names:
        st.session_state[OPEN] = st.session_state.pop(WANTED)
    if st.session_state.get(OPEN) not in names:
        st.session_state[OPEN] = names[0]
    with st.container(height=LIST_HEIGHT if len(names) > MANY else "content", border=False):
        return st.radio("Pictures of the product", names, format_func=plain, key=OPEN)


def _edit(draft: Draft, name: str, content: bytes) -> None:
    """Show a picture with the tools to turn and crop it."""
    picture, tools = st.columns([3, 2], gap="medium")
    key = f"{name}.{st.session_state.get('pictures.edits', 0)}"
    with tools:
        uses = picture_edits.picture_uses(draft.product, name)
        st.caption(f"Shown at {plain(', '.join(uses))}." if uses else "Not shown anywhere yet.")
        with st.container(horizontal=True):
            left = st.button("Turn left", icon=":material/rotate_left:", key="pictures.left")
            right = st.button("Turn right", icon=":material/rotate_right:", key="pictures.right")
        across = st.slider("Kept from left to right (%)", 0, 100, WHOLE, key=f"pictures.x.{key}")
        down = st.slider("Kept from top to bottom (%)", 0, 100, WHOLE, key=f"pictures.y.{key}")
        is_cropped = (across, down) != (WHOLE, WHOLE)
        is_empty = across[0] == across[1] or down[0] == down[1]
        if is_empty:
            st.caption("Nothing would be left. Move the ends apart.")
        crop = (across[0] / 100, down[0] / 100, across[1] / 100, down[1] / 100)
        do_crop = st.button(
            "Store the crop",
            icon=":material/crop:",
            disabled=not is_cropped or is_empty,
            key="pictures.crop",
        )
    with picture:
        can_preview = is_cropped and not is_empty
        st.image(
            edited_picture(content, crop=crop) if can_preview else content, width=PREVIEW_WIDTH
        )
    if left or right:
        turns = 1 if right else -1
        edited = picture_edits.edit_picture(draft.product, name, content, quarter_turns=turns)
        _store(draft, *edited)
    if do_crop:
        _store(draft, *picture_edits.edit_picture(draft.product, name, content, crop=crop))


def _file_work(draft: Draft, name: str) -> None:
    product = draft.product
    renaming, replacing, deleting = st.columns(3, gap="medium", vertical_alignment="bottom")
    with renaming.popover("Rename", icon=":material/edit:", width="stretch"):
        new = st.text_input("New name", name, max_chars=120, key=f"pictures.name.{name}")
        if st.button("Rename the picture", key="pictures.rename"):
            with show.errors():
                place = [p.name for p in product.pictures].index(name)
                edited = picture_edits.rename_picture(product, name, new)
                if stored_edits.save(draft, edited):
                    st.session_state[WANTED] = edited.pictures[place].name
                    session.rerun()
    with replacing.popover("Replace", icon=":material/swap_horiz:", width="stretch"):
        edits = st.session_state.get("pictures.edits", 0)
        file = st.file_uploader("The new file", type=TYPES, key=f"pictures.new.{name}.{edits}")
        if file is not None:
            with show.errors():
                changed = picture_edits.replace_picture(product, name, file.name, file.getvalue())
                _store(draft, *changed)
    with deleting.popover("Take out", icon=":material/delete:", width="stretch"):
        uses = picture_edits.picture_uses(product, name)
        st.text(
            f"{name} is shown at {', '.join(uses)}; they will show no picture."
            if uses
            else f"{name} is not shown anywhere."
        )
        pressed = st.button("Take the picture out", key="pictures.delete", type="primary")
        if pressed and stored_edits.save(draft, picture_edits.delete_picture(product, name)):
            session.rerun(f"{name} is taken out; Undo brings it back.")


def _store(draft: Draft, product: Product, contents: Any) -> None:
    """Store an edited picture and draw the tools afresh."""
    if stored_edits.save(draft, product, contents):
        st.session_state["pictures.edits"] = st.session_state.get("pictures.edits", 0) + 1
        session.rerun()
