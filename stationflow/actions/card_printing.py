"""Print station cards from plans."""

import os
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from stationflow.actions.checking import by_severity
from stationflow.actions.given_plans import choose_plan
from stationflow.actions.plans import PlanState, out_of_date_finding
from stationflow.actions.source_balancing import lines_to_balance
from stationflow.actions.sources import Source
from stationflow.cards import Card, Paper, cards_pdf, cards_png, check_cards, station_cards
from stationflow.model import Finding, Plan, Product, error, has_errors
from stationflow.storage import Store

PAPERS = tuple(paper.value for paper in Paper)
"""Names of the papers cards can be printed on."""

ADDRESS = "STATIONFLOW_ADDRESS"
DRAFT_MARK = "DRAFT"
OUT_OF_DATE_MARK = "OUT OF DATE"


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

    def pdf(self, *, paper: str, portrait: bool, on: date) -> bytes:
        """Return the cards as PDF, dated."""
        return cards_pdf(
            self.cards, self.pictures, paper=Paper(paper), portrait=portrait, created=on
        )

    def pages(self, station: int, *, paper: str, portrait: bool, ppi: int = 110) -> list[bytes]:
        """Return the pages of one station's card as PNG pictures."""
        chosen = [card for card in self.cards if card.station == station]
        return cards_png(chosen, self.pictures, paper=Paper(paper), portrait=portrait, ppi=ppi)


def cards_of_plan(store: Store, state: PlanState) -> CardSet:
    """Return the cards of a stored plan, made from the product version it was made from.

    An out-of-date plan's cards say so on every page; others say that they are a draft.
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
    )
    return CardSet(
        cards=cards,
        pictures=store.pictures(product),
        findings=by_severity(
            (
                *((outdated,) if outdated else ()),
                *state.verdict,
                *findings,
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
    paper: str,
    portrait: bool,
    on: date,
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the cards of one line of a source as PDF; without a plan, findings only.

    Parameters
    ----------
    line
        Name of the line; None: the line of the plan file, else the main line.
    plan
        A plan file; None: the plan in force.
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
    )
    content = cards_pdf(cards, source.pictures, paper=Paper(paper), portrait=portrait, created=on)
    checked = _of_line(chosen.product, chosen.plan, check_cards(chosen.product))
    return content, by_severity((*findings, *more, *checked))


def _of_line(product: Product, plan: Plan, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings about tasks of the plan's line."""
    numbers = {f"Task {task.number}" for task in product.tasks_of(plan.line)}
    return tuple(f for f in findings if not f.where.startswith("Task ") or f.where in numbers)
