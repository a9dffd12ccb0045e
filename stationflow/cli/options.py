"""What the options of the commands mean."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from stationflow.model import BalanceSettings, Upheaval
from stationflow.model.plan import MOVES_ALONE

if TYPE_CHECKING:
    from stationflow.actions.showing.card_printing import FileKind

MOST_WEIGHT = 1000
LONGEST_LIMIT = 1e9  # 31 years in seconds; whole milliseconds of it stay exact


def limit_option(text: str | None) -> float | None:
    """Return the limit of a station from ``--limit``, in the source's unit."""
    if text is None:
        return None
    try:
        limit = float(text)
    except ValueError:
        limit = math.nan
    if not (0 < limit <= LONGEST_LIMIT):
        raise typer.BadParameter(
            f"--limit is {text!r}; give a number above 0, at most {LONGEST_LIMIT:g}, in the "
            "source's unit (seconds for products), for example --limit 52.5."
        )
    return limit


def station_range_option(text: str | None, best_efficiency: bool) -> tuple[int | None, int | None]:
    """Return first and last number from ``--stations``; the first is None without a range."""
    if text is None:
        if best_efficiency:
            raise typer.BadParameter(
                "--best-efficiency needs a range, for example --stations 4..9."
            )
        return None, None
    first, dots, last = text.partition("..")
    numbers = [int(n) for n in ((first, last) if dots else (first,)) if n.isdecimal()]
    if len(numbers) != 1 + bool(dots) or min(numbers) < 1 or numbers[0] > numbers[-1]:
        raise typer.BadParameter(
            f"--stations is {text!r}; give a whole number from 1 (--stations 8) "
            "or a range with --best-efficiency (--stations 4..9)."
        )
    if bool(dots) != best_efficiency:
        raise typer.BadParameter("A range of --stations and --best-efficiency go together.")
    return (numbers[0] if dots else None), numbers[-1]


def balance_settings(
    *,
    method: str,
    limit: str | None,
    **options: Any,
) -> BalanceSettings:
    """Return what a balance is asked for; `options` as in `BalanceSettings`.

    A misfit among them is wrong usage.
    """
    from stationflow.balancing.balance_check import settings_problems

    settings = BalanceSettings(method=method, limit=limit_option(limit), **options)
    if problems := settings_problems(settings):
        raise typer.BadParameter(" ".join(problems))
    return settings


def weights_option(text: str | None) -> Upheaval:
    """Return what each kind of upheaval weighs; one that is not named weighs nothing."""
    if text is None:
        return MOVES_ALONE
    kinds = [field.name for field in fields(Upheaval)]
    weights = dict(part.partition("=")[::2] for part in text.replace(" ", "").split(","))
    is_known = set(weights) <= set(kinds) and all(w.isdecimal() for w in weights.values())
    numbers = {kind: int(w) for kind, w in weights.items()} if is_known else {}
    if not any(numbers.values()) or max(numbers.values()) > MOST_WEIGHT:
        raise typer.BadParameter(
            f"--weights is {text!r}; give a whole number from 0 to {MOST_WEIGHT} for some of "
            f"{', '.join(kinds)}, for example --weights moves=1,tools=2."
        )
    return Upheaval(**numbers)


def answers_option(given: Sequence[str]) -> dict[str, str]:
    """Return the choices by the ids of their questions from ``--answer ID=CHOICE``."""
    answers: dict[str, str] = {}
    for text in given:
        asked, sign, choice = text.rpartition("=")
        if not sign or not asked or not choice:
            raise typer.BadParameter(f"--answer is {text!r}; give ID=CHOICE, as the questions say.")
        answers[asked] = choice
    return answers


def one_of(option: str, value: str, known: Mapping[str, str] | Sequence[str]) -> str:
    """Return a value that is known, in small letters; a mapping says what each is called."""
    if value.lower() in known:
        return value.lower()
    words = [f"{k} ({v})" for k, v in known.items()] if isinstance(known, Mapping) else known
    raise typer.BadParameter(f"{option} is {value!r}; give one of {', '.join(words)}.")


def ending_of(out: Path, endings: Sequence[str], option: str = "--out") -> str:
    """Return which of the endings a file to be written has."""
    ending = out.suffix.lower().removeprefix(".")
    if ending not in endings:
        *most, last = (f".{known}" for known in endings)
        known = f"{', '.join(most)} or {last}" if most else last
        raise typer.BadParameter(f"{option} is {str(out)!r}; end it with {known}.")
    return ending


def card_file_kind(out: Path, each: str | None) -> "FileKind":
    """Return the kind of file that the name asks for; `each` goes with a .zip only."""
    from stationflow.actions.showing.card_printing import FileKind

    ending = ending_of(out, ("pdf", "html", "xlsx", "zip"))
    if each is not None and ending != "zip":
        raise typer.BadParameter(f"--each goes with FILE.zip, but --out is {str(out)!r}.")
    if ending == "zip":
        return FileKind(f"zip-{one_of('--each', each or 'pdf', ('pdf', 'html'))}")
    return FileKind(ending)
