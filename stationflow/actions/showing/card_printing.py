"""Print station cards from plans."""

import os
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Any

from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState
from stationflow.balancing.time_words import count
from stationflow.cards import (
    Card,
    Language,
    Layout,
    Paper,
    cards_html,
    cards_pdf,
    cards_png,
    cards_workbook,
    cards_zip,
    check_cards,
    check_pictures,
    check_stored_pictures,
    layouts,
    safe_name,
    station_cards,
)
from stationflow.errors import CardError
from stationflow.model import Finding, Plan, Product, by_severity, error, has_errors
from stationflow.model.unread import Use

PAPERS = tuple(paper.value for paper in Paper)
"""Names of the papers cards can be printed on."""

WAYS = ("upright", "across")
"""How a sheet of paper may lie."""

LANGUAGES = {language.value: language.label for language in Language}
"""Languages of the fixed words: code, and the language by its own name."""

ADDRESS = "STATIONFLOW_ADDRESS"
DRAFT_MARK = "DRAFT"
OLD = "OUT OF DATE"


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
    """How cards are printed."""

    paper: str = Paper.A4
    portrait: bool = False
    large_print: bool = False  # no text smaller than 16 points

    @property
    def printed(self) -> dict[str, Any]:
        """The same as the cards take it."""
        return asdict(self) | {"paper": Paper(self.paper)}


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSet:
    """The cards of one plan with all they need to be printed."""

    cards: tuple[Card, ...]  # one card for each station
    pictures: dict[str, bytes]  # bytes of the pictures in use, by name
    findings: tuple[Finding, ...]  # what should be known before hanging them up

    @property
    def file_name(self) -> str:
        """Name of the file with all cards, without its ending."""
        first = self.cards[0]
        return f"{safe_name(first.product_code)}-{safe_name(first.line)}-cards"

    def file(self, kind: FileKind, form: PrintForm, on: date, station: int | None = None) -> bytes:
        """Return the cards as a file of a kind, dated; of one station only where it is named."""
        pictures = self.pictures
        cards = [card for card in self.cards if station in (None, card.station)]
        if not cards:
            known = ", ".join(str(card.station) for card in self.cards[:20])
            raise CardError(
                f"Station {station} has no card.", f"The plan has these stations: {known}."
            )
        printed = form.printed

        def pdf(stations: Collection[int]) -> bytes:
            return cards_pdf(self.cards, pictures, created=on, stations=stations, **printed)

        def html(chosen: Sequence[Card]) -> bytes:
            return cards_html(chosen, pictures, **printed)

        if kind == FileKind.PDF:
            return pdf([card.station for card in cards])
        if kind == FileKind.HTML:
            return html(cards)
        if kind == FileKind.ZIP_OF_PDF:
            return cards_zip(cards, "pdf", lambda card: pdf([card.station]))
        if kind == FileKind.ZIP_OF_HTML:
            return cards_zip(cards, "html", lambda card: html([card]))
        return cards_workbook(cards, pictures, created=on, **printed)

    def fitting(
        self, paper: str | None, portrait: bool | None, *, large_print: bool = False
    ) -> tuple[PrintForm, str]:
        """Return how to print the cards, and why; `paper` and `portrait` as far as given."""
        ways = layouts(
            self.cards,
            self.pictures,
            paper=Paper(paper) if paper else None,
            portrait=portrait,
            large_print=large_print,
        )
        best = ways[0]
        form = PrintForm(paper=best.paper, portrait=best.portrait, large_print=large_print)
        others = ", ".join(f"{_named(way)} {way.on_one_page}" for way in ways[1:])
        return form, (
            f"{_named(best)}: {best.on_one_page} of {count(best.looked_at, 'card')} "
            f"{'takes' if best.on_one_page == 1 else 'take'} one page"
            f"{f' ({others})' if others else ''}."
        )

    def pages(self, station: int, form: PrintForm, ppi: int = 110) -> list[bytes]:
        """Return the pages of one station's card as PNG pictures."""
        return cards_png(self.cards, self.pictures, ppi=ppi, stations=[station], **form.printed)


def cards_of_plan(
    opened: Opened, state: PlanState, language: str | None = None, on: date | None = None
) -> CardSet:
    """Return the cards of a plan, made from the product version it was made from.

    Of an out-of-date plan the cards that would be others today say so on every page; all others
    say that they are a draft.

    `language`: code of the language of the fixed words; None: by the letters of the texts. `on`:
    what a plan without a date of its own is dated.
    """
    plan = state.plan
    product = state.made_from
    # A plan that still holds is printed with the words of today, which are of today's version.
    of_today = opened.version if product is opened.product else 0
    version = of_today or plan.product_version
    made = partial(
        station_cards,
        plan=plan,
        version_label=f"version {version}" if version else "file",
        address=os.environ.get(ADDRESS, ""),
        mark=DRAFT_MARK,
        dated=plan.at.date() if plan.at else on,
        language=Language(language) if language else None,
    )
    cards, findings = made(product)
    if state.is_out_of_date:
        others = made(opened.product)[0] if _says_todays_pace(opened, state) else ()
        today = {card.station: card for card in others}
        cards = tuple(
            card
            if _is_the_same(card, today.get(card.station), product, opened.product)
            else replace(card, mark=OLD)
            for card in cards
        )
    pictures = opened.pictures(product)
    said = (
        *opened.findings,
        *state.findings,
        *findings,
        *check_pictures(cards, pictures),
        *_of_line(product, plan, check_stored_pictures(product, pictures)),
        *_of_line(product, plan, check_cards(product)),
        *plan.result.findings,
    )
    return CardSet(cards=cards, pictures=pictures, findings=by_severity(said))


def _named(way: Layout) -> str:
    """Return a way to print in words."""
    return f"{way.paper.label} {'upright' if way.portrait else 'across'}"


def _says_todays_pace(opened: Opened, state: PlanState) -> bool:
    """Return whether the cards can be compared with today's: version known, station time kept."""
    limit = state.plan.result.pace.station_time
    is_known = state.made_from is not opened.product
    return is_known and limit in (None, opened.limit(state.plan.line))


def _is_the_same(card: Card, now: Card | None, made_from: Product, today: Product) -> bool:
    """Return whether a card has today's words, numbers and pictures."""
    shown = {picture.picture for task in card.tasks for picture in task.pictures}
    pictures = [[p for p in each.pictures if p.name in shown] for each in (made_from, today)]
    return card == now and pictures[0] == pictures[1]


def print_cards(
    opened: Opened,
    *,
    line: str | None,
    plan: Path | None,
    kind: FileKind,
    on: date,
    paper: str | None = None,
    portrait: bool | None = None,
    large_print: bool = False,
    language: str | None = None,
    station: int | None = None,
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the cards of one line as a file; without a plan that holds, findings only.

    `line`: name of the line; None: the line of the plan file, else the main line. `plan`: a plan
    file; None: the plan in force. `paper`, `portrait`: None: what fits most cards on one page.
    `station`: the only one to print; None: all.
    """
    if opened.instance is not None:
        finding = error(
            "no-plan",
            opened.name,
            "A published instance has numbers only, nothing to print on a card.",
            "Give a product folder, a workbook or a product code.",
        )
        return None, (finding,)
    chosen = choose_plan(opened, line, plan)
    if opened.product.stopped([chosen.line], Use.CARDS):
        return None, by_severity((*opened.findings, *chosen.findings))
    state = chosen.state
    if state is None or (has_errors(chosen.findings) and not state.is_out_of_date):
        return None, by_severity((*opened.findings, *chosen.findings))
    cards = cards_of_plan(opened, state, language, on)
    form, _ = cards.fitting(paper, portrait, large_print=large_print)
    return cards.file(kind, form, on, station), by_severity((*chosen.findings, *cards.findings))


def _of_line(product: Product, plan: Plan, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings about tasks of the plan's line."""
    numbers = {f"Task {task.number}" for task in product.tasks_of(plan.line)}
    return tuple(f for f in findings if not f.where.startswith("Task ") or f.where in numbers)
