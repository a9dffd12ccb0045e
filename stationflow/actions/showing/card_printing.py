"""Print station cards from plans."""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path

from stationflow.actions.opening.given_plans import choose_plan
from stationflow.actions.opening.sources import Source
from stationflow.actions.plans.plan_keeping import PlanState, out_of_date_finding
from stationflow.actions.plans.source_balancing import lines_to_balance
from stationflow.cards import (
    Card,
    Language,
    Paper,
    cards_html,
    cards_pdf,
    cards_png,
    cards_workbook,
    cards_zip,
    check_cards,
    check_pictures,
    safe_name,
    station_cards,
)
from stationflow.model import Finding, Plan, Product, by_severity, error, has_errors
from stationflow.storage import Store

PAPERS = tuple(paper.value for paper in Paper)
"""Names of the papers cards can be printed on."""

LANGUAGES = {language.value: language.label for language in Language}
"""Languages of the fixed words: code, and the language by its own name."""

ADDRESS = "STATIONFLOW_ADDRESS"
DRAFT_MARK = "DRAFT"
OUT_OF_DATE_MARK = "OUT OF DATE"


class FileKind(StrEnum):
    """A kind of file cards are given out as."""

    PDF = "pdf"
    HTML = "html"
    WORKBOOK = "xlsx"
    ZIP_OF_PDF = "zip-pdf"
    ZIP_OF_HTML = "zip-html"

    @property
    def label(self) -> str:
        """The kind in words."""
        return FILE_KINDS[self][0]

    @property
    def ending(self) -> str:
        """How the file's name ends."""
        return self.value.partition("-")[0]

    @property
    def mime(self) -> str:
        """The kind as browsers know it."""
        return FILE_KINDS[self][1]


FILE_KINDS = {
    FileKind.PDF: ("PDF, all stations", "application/pdf"),
    FileKind.HTML: ("Web page, all stations", "text/html"),
    FileKind.WORKBOOK: (
        "Workbook, a sheet for each station",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
    FileKind.ZIP_OF_PDF: ("ZIP, a PDF for each station", "application/zip"),
    FileKind.ZIP_OF_HTML: ("ZIP, a web page for each station", "application/zip"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintForm:
    """How cards are printed.

    Attributes
    ----------
    large_print
        No text smaller than 16 points.
    """

    paper: str = Paper.A4
    portrait: bool = False
    large_print: bool = False


def cards_file(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    kind: FileKind,
    form: PrintForm,
    on: date,
) -> bytes:
    """Return cards as a file of a kind, dated."""
    paper = Paper(form.paper)

    def pdf(chosen: Sequence[Card]) -> bytes:
        return cards_pdf(
            chosen,
            pictures,
            paper=paper,
            portrait=form.portrait,
            created=on,
            large_print=form.large_print,
        )

    def html(chosen: Sequence[Card]) -> bytes:
        return cards_html(
            chosen, pictures, paper=paper, portrait=form.portrait, large_print=form.large_print
        )

    if kind == FileKind.PDF:
        return pdf(cards)
    if kind == FileKind.HTML:
        return html(cards)
    if kind == FileKind.ZIP_OF_PDF:
        return cards_zip(cards, "pdf", lambda card: pdf([card]))
    if kind == FileKind.ZIP_OF_HTML:
        return cards_zip(cards, "html", lambda card: html([card]))
    return cards_workbook(
        cards, pictures, paper=paper, portrait=form.portrait, large_print=form.large_print
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSet:
    """The cards of one plan with all they need to be printed.

    Attributes
    ----------
    cards
        One card for each station.
    pictures
        Bytes of the pictures in use, by name.
    findings
        What should be known before hanging them up.
    """

    cards: tuple[Card, ...]
    pictures: dict[str, bytes]
    findings: tuple[Finding, ...]

    @property
    def file_name(self) -> str:
        """Name of the file with all cards, without its ending."""
        first = self.cards[0]
        return f"{safe_name(first.product_code)}-{safe_name(first.line)}-cards"

    def file(self, kind: FileKind, form: PrintForm, on: date) -> bytes:
        """Return the cards as a file of a kind, dated."""
        return cards_file(self.cards, self.pictures, kind, form, on)

    def pages(self, station: int, form: PrintForm, ppi: int = 110) -> list[bytes]:
        """Return the pages of one station's card as PNG pictures."""
        chosen = [card for card in self.cards if card.station == station]
        return cards_png(
            chosen,
            self.pictures,
            paper=Paper(form.paper),
            portrait=form.portrait,
            ppi=ppi,
            large_print=form.large_print,
        )


def cards_of_plan(store: Store, state: PlanState, language: str | None = None) -> CardSet:
    """Return the cards of a stored plan, made from the product version it was made from.

    An out-of-date plan's cards say so on every page; others say that they are a draft.
    `language`: code of the language of the fixed words; None: by the letters of the texts.
    """
    plan = state.plan
    product = state.made_from
    outdated = out_of_date_finding(state)
    cards, findings = station_cards(
        product,
        plan,
        version_label=f"version {plan.product_version}",
        address=os.environ.get(ADDRESS, ""),
        mark=OUT_OF_DATE_MARK if outdated else DRAFT_MARK,
        language=Language(language) if language else None,
    )
    pictures = store.pictures(product)
    return CardSet(
        cards=cards,
        pictures=pictures,
        findings=by_severity(
            (
                *((outdated,) if outdated else ()),
                *state.verdict,
                *findings,
                *check_pictures(cards, pictures),
                *_of_line(product, plan, check_cards(product)),
                *plan.result.findings,
            )
        ),
    )


def print_source_cards(
    source: Source,
    *,
    line: str | None,
    plan: Path | None,
    kind: FileKind,
    form: PrintForm,
    on: date,
    language: str | None = None,
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the cards of one line of a source as a file; without a plan, findings only.

    Parameters
    ----------
    line
        Name of the line; None: the line of the plan file, else the main line.
    plan
        A plan file; None: the plan in force.
    language
        Code of the language of the fixed words; None: by the letters of the texts.
    """
    product = source.product
    if product is None:
        finding = error(
            "no-plan",
            source.name,
            "A published instance has numbers only, nothing to print on a card.",
            "Give a product folder, a workbook or a product code.",
        )
        return None, (finding,)
    chosen = choose_plan(source, line, plan, lines_to_balance(source, line)[0])
    findings = (*source.findings, *chosen.findings)
    outdated = any(f.code == "plan-out-of-date" for f in findings)
    if chosen.plan is None or (has_errors(chosen.findings) and not outdated):
        return None, by_severity(findings)
    version = chosen.plan.product_version
    cards, more = station_cards(
        chosen.product,
        chosen.plan,
        version_label=f"version {version}" if version else "file",
        address=os.environ.get(ADDRESS, ""),
        mark=OUT_OF_DATE_MARK if outdated else DRAFT_MARK,
        dated=on,
        language=Language(language) if language else None,
    )
    content = cards_file(cards, source.pictures, kind, form, on)
    checked = _of_line(chosen.product, chosen.plan, check_cards(chosen.product))
    return content, by_severity(
        (*findings, *more, *check_pictures(cards, source.pictures), *checked)
    )


def _of_line(product: Product, plan: Plan, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings about tasks of the plan's line."""
    numbers = {f"Task {task.number}" for task in product.tasks_of(plan.line)}
    return tuple(f for f in findings if not f.where.startswith("Task ") or f.where in numbers)
