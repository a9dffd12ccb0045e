"""Plans side by side on the Compare page."""

from stationflow.storage import Draft


def compare_plans(draft: Draft, line: str) -> None:
    """Show plans of a line side by side."""
