"""What the framework is told: each line here was a fault seen in use."""

import tomllib
from pathlib import Path

CONFIG = tomllib.loads(
    (Path(__file__).parents[2] / ".streamlit" / "config.toml").read_text("utf-8")
)


def test_no_message_refers_to_one_the_browser_may_never_have_had() -> None:
    # Streamlit's issues 11357 and 15816: after quick clicks the page stayed dead with 'Cached
    # ForwardMsg MISS'; one of 60 clicks on Balance beside a busy machine. The largest message is
    # bounded by the protocol at 2 GB.
    assert CONFIG["global"]["minCachedMessageSize"] > 2**31


def test_a_first_start_on_a_desktop_asks_for_no_address():
    # Where a display is and nothing was answered before, the first start waited for an email
    # address to be typed, and a newcomer's third command never answered.
    assert CONFIG["server"]["showEmailPrompt"] is False
