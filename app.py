"""Start the pages: ``streamlit run app.py``."""

from stationflow.ui.navigation import run

run()
