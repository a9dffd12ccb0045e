"""What ``explain`` prints: the numbers there are, or numbers opened."""

from collections.abc import Sequence
from dataclasses import asdict

import typer

from stationflow.actions.showing.explaining import Asked, nearest, pick, why_missing
from stationflow.cli.reports import finding_documents, print_json, tell_findings
from stationflow.cli.terminal import say
from stationflow.model import Explained, Finding
from stationflow.model.explanation import key_word
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure


def chosen_numbers(
    asked: Asked, words: Sequence[str]
) -> tuple[tuple[Explained, ...], tuple[Finding, ...]]:
    """Return the numbers that the words mean, each once (no word: all), and why any is missing.

    typer.BadParameter if a word means no number.
    """
    if not words or not asked.numbers:  # without any number the findings say why
        return asked.numbers, ()
    found: dict[Explained, None] = {}
    missing: dict[Finding, None] = {}
    for word in words:
        meant = pick(asked.numbers, word)
        why = () if meant else why_missing(asked, word)
        if not meant and not why:
            raise typer.BadParameter(_unknown(asked, word))
        found |= dict.fromkeys(meant)
        missing |= dict.fromkeys(why)
    return tuple(found), tuple(missing)


def _unknown(asked: Asked, word: str) -> str:
    """Say that a word means no number, and which words come near."""
    near = nearest(asked.numbers, word)
    said = f"No number is called {word!r}; "
    return said + (
        f"did you mean {' or '.join(near)}?" if near else "without a word all are listed."
    )


def print_explained(source: str, asked: Asked, numbers: Sequence[Explained]) -> None:
    """Print numbers as one JSON document."""
    print_json(
        {
            "source": source,
            "line": asked.line,
            "numbers": [asdict(number) for number in numbers],
            "findings": finding_documents(asked.findings),
        }
    )


def print_list(asked: Asked) -> None:
    """Print every number with its word and value; stations, tasks and parts shortened."""
    rows = [
        (number.key, value_text(number), number.name)
        for number in asked.numbers
        if not _is_one_of_many(number)
    ]
    widths = [max((len(row[i]) for row in rows), default=0) for i in range(2)]
    for key, value, name in rows:
        say(f"{key.ljust(widths[0])}  {value.rjust(widths[1])}  {name}")
    for kind in ("station", "task", "part"):
        of_kind = [e for e in asked.numbers if e.where.startswith(f"{kind} ")]
        places = list(dict.fromkeys(e.where for e in of_kind))
        if places:
            names = ", ".join(dict.fromkeys(e.name for e in of_kind))
            say(f"{key_word(places[0])} (and so on, {len(places)} {kind}s): {names}")
    tell_findings(asked.findings)


def print_opened(asked: Asked, numbers: Sequence[Explained]) -> None:
    """Print numbers with formula, values put in, source, other definition and cross-check."""
    for number in numbers:
        where = f", {number.where}" if number.where else ""
        say(f"{number.name}{where}: {value_text(number)}")
        rows = [
            ("formula", number.formula),
            ("values", number.worked),
            ("source", number.source),
            ("elsewhere", number.other),
            ("meaning", _meaning(number)),
            ("cross-check", number.check or "none is made"),
        ]
        for title, text in rows:
            if text:
                say(f"  {title.ljust(11)}  {text}")
        say("")
    tell_findings(asked.findings)


def value_text(number: Explained) -> str:
    """Return the value of a number with its unit."""
    if number.value is None:
        return "not computable"
    return f"{figure(number.value, 4)} {number.unit}".strip()


def _meaning(number: Explained) -> str:
    """Return the meaning of the word of a number, where its other definition is not said yet."""
    word = number.name.partition(" on the ")[0]
    return TERMS[word].here if word in TERMS else ""


def _is_one_of_many(number: Explained) -> bool:
    """Return whether there is a number like this for each station, task or part."""
    return number.where.startswith(("station ", "task ", "part "))
