"""Drawing a page anew while the engineer goes on."""

from streamlit.testing.v1 import AppTest


def a_page() -> None:
    import streamlit as st
    from streamlit.runtime.scriptrunner import get_script_run_ctx
    from streamlit.runtime.scriptrunner_utils.script_requests import RerunData

    from stationflow.ui import session

    if "stored" not in st.session_state:
        st.session_state["stored"] = True
        # The browser asks for another address while this run is busy storing.
        get_script_run_ctx().script_requests.request_rerun(RerunData(query_string="to=balance"))
        session.rerun()
    st.text(st.query_params.get("to", "still here"))


def test_what_is_chosen_while_an_edit_is_stored_is_not_taken_back():
    page = AppTest.from_function(a_page).run()
    assert [text.value for text in page.text] == ["balance"]
