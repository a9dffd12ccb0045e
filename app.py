"""Start the pages: ``streamlit run app.py``.

Streamlit imports this file for the server and runs it for every drawing of a page.
"""

if __name__ == "__main__":
    from stationflow.ui.navigation import run

    run()
else:
    from streamlit import App

    from stationflow.ui.serving import guards
    from stationflow.ui.show import told

    app = App(__file__, middleware=guards(), on_script_error=told)
