"""What the command `import` prints for people."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stationflow.cli.reports import tell_table
from stationflow.cli.terminal import say


def tell_import(document: Mapping[str, Any], out: Path | None) -> None:
    """Print tasks or parts, the questions, and the report by cell."""
    for kind in ("tasks", "parts"):
        if rows := document[kind]:
            heads = list(rows[0])
            tell_table([heads, *([_shown(row[head]) for head in heads] for row in rows)])
            say("")
    for question in document["questions"]:
        said = question["chosen"] or "OPEN"
        say(f"Question {question['id']} [{said}]: {question['text']}")
    for line in document["report"]:
        say(f"{line['severity']}: {line['cell']} {line['message']}".rstrip())
    still_open = sum(question["chosen"] is None for question in document["questions"])
    say(f"{len(document['tasks'])} tasks, {len(document['parts'])} parts, {still_open} open")
    if out is not None:
        say(f"Written: {out}")


def _shown(value: Any) -> str:
    """Return a value in a cell of the table."""
    if isinstance(value, list):
        return "; ".join(value)
    return "" if value is None else str(value)
