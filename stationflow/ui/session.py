"""What the pages remember: which product is open, and where the store is."""

import getpass
from datetime import UTC, datetime
from typing import Any, Literal, NoReturn

import streamlit as st

from stationflow.actions.opening.opened import Opened, opened_draft
from stationflow.actions.opening.starting import open_store_at
from stationflow.errors import ProductNotFoundError, UnreadableError
from stationflow.model import Author
from stationflow.storage import Draft, Store, store_address
from stationflow.ui.text import plain

PRODUCT = "product_code"
LINE = "line_name"
NOTICE = "notice"
STORE_TOLD = "store_told"


def store() -> Store:
    """Return the store."""
    return open_store_at(store_address())


def tell_of_store() -> None:
    """Say what should be known of how the store was opened: once, or as long as nothing is kept."""
    opened = store()
    if opened.notice and not st.session_state.get(STORE_TOLD):
        st.session_state[STORE_TOLD] = True
        st.warning(plain(opened.notice))
    if opened.is_read_only:
        st.warning("The store can only be read: nothing that is changed here is kept.")


def user() -> str:
    """Return who is at the screen, by the name of the account."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # an account without a name
        return "unknown"


def now() -> datetime:
    """Return the time, as aware UTC."""
    return datetime.now(UTC)


def author() -> Author:
    """Return who is at the screen, and the time."""
    return Author(user(), now())


def rerun(said: str = "", *, scope: Literal["app", "fragment"] = "app") -> NoReturn:
    """Draw the page anew, or this part, unless another page has been chosen; then say a sentence.

    A rerun that is asked for on this page takes the place of what waits: an engineer who
    stores and at once goes on to another page would be brought back. So what waits comes
    first; it draws everything anew just as well.
    """
    if said:
        notice(said)
    st.empty()  # whatever is drawn lets a waiting request in
    st.rerun(scope=scope)


def current_product() -> str | None:
    """Return the code of the open product, kept in the address so that a reload finds it."""
    if PRODUCT not in st.session_state and "product" in st.query_params:
        st.session_state[PRODUCT] = st.query_params["product"]
    code: str | None = st.session_state.get(PRODUCT)
    if code and st.query_params.get("product") != code:
        st.query_params["product"] = code
    return code


def open_product(code: str) -> None:
    """Open a product for all pages."""
    st.session_state[PRODUCT] = code
    st.session_state.pop(LINE, None)
    st.query_params["product"] = code


def close_product() -> None:
    """Leave the open product."""
    st.session_state.pop(PRODUCT, None)
    st.session_state.pop(LINE, None)
    st.query_params.clear()


def draft() -> Draft | None:
    """Return the newest state of the open product; None if none is open."""
    code = current_product()
    if code is None:
        return None
    try:
        return store().draft(code)
    except (ProductNotFoundError, UnreadableError) as problem:
        close_product()
        st.warning(f"{plain(problem.message)} {plain(problem.hint)}")
        return None


def opened(draft: Draft) -> Opened:
    """Return the open product with its plans and pictures, as actions take it."""
    return opened_draft(store(), draft)


def kept(field: str, usual: Any) -> dict[str, Any]:
    """Return what a widget takes to show what was last chosen in it, also after its page was left.

    It is remembered for each product. `usual`: what is shown until something is chosen.
    """
    memory, owner = f"kept.{current_product()}.{field}", f"{field}.of"
    if field not in st.session_state or st.session_state.get(owner) != memory:
        st.session_state[field] = st.session_state.get(memory, usual)
        st.session_state[owner] = memory
    return {"key": field, "on_change": _keep, "args": (field, memory)}


def put(field: str, value: Any) -> None:
    """Put a value into a field whose choice is kept, as if it had been chosen there."""
    st.session_state[field] = value
    st.session_state[f"{field}.of"] = memory = f"kept.{current_product()}.{field}"
    st.session_state[memory] = value


def _keep(field: str, memory: str) -> None:
    """Remember what was chosen before any page is drawn: the next one may be another."""
    st.session_state[memory] = st.session_state[field]


def notice(text: str) -> None:
    """Keep a sentence to be shown once, after the page is drawn anew."""
    st.session_state[NOTICE] = text
