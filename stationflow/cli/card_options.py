"""Options of the command `cards`: what is wrong with one is told as wrong usage."""

from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from stationflow.actions.showing.card_printing import FileKind


def card_file_kind(out: Path, each: str | None) -> "FileKind":
    """Return the kind of file that the name asks for; `each` goes with a .zip only."""
    from stationflow.actions.showing.card_printing import FileKind

    ending = out.suffix.lower().removeprefix(".")
    if ending == "zip":
        if (each or "pdf").lower() not in ("pdf", "html"):
            raise typer.BadParameter(f"--each is {each!r}; give pdf or html.")
        return FileKind(f"zip-{(each or 'pdf').lower()}")
    if each is not None:
        raise typer.BadParameter(f"--each goes with FILE.zip, but --out is {str(out)!r}.")
    if ending not in ("pdf", "html", "xlsx"):
        raise typer.BadParameter(f"--out is {str(out)!r}; end it with .pdf, .html, .xlsx or .zip.")
    return FileKind(ending)


def card_paper(paper: str) -> str:
    """Return the name of a paper that is known."""
    from stationflow.actions.showing.card_printing import PAPERS

    if paper.lower() not in PAPERS:
        raise typer.BadParameter(f"--paper is {paper!r}; give one of {', '.join(PAPERS)}.")
    return paper.lower()


def card_language(language: str | None) -> str | None:
    """Return the code of a language that is known, or None."""
    from stationflow.actions.showing.card_printing import LANGUAGES

    if language is None:
        return None
    if language.lower() not in LANGUAGES:
        known = ", ".join(f"{code} ({name})" for code, name in LANGUAGES.items())
        raise typer.BadParameter(f"--language is {language!r}; give one of {known}.")
    return language.lower()
