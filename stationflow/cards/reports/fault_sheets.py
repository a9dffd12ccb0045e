"""Fault cards: for each test station the places of fault by code, and what is done about them."""

from stationflow.cards.reports.report import Report, ReportTable, Section
from stationflow.line.quality.fault_pareto import CardRow, FaultCard, fault_cards
from stationflow.model import Product, ProductPlan
from stationflow.model.hazard import DEFER, HAZARD_ADVICE

HEADS = ("Code", "What is wrong", "Comes from", "Part", "What to do")


def fault_reports(product: Product, plan: ProductPlan, said: str = "") -> tuple[Report, ...]:
    """Return the card of each test that faults are entered for, each on a page of its own.

    `said` names version and date.
    """
    return tuple(_card(product, card, said) for card in fault_cards(product, plan))


def _card(product: Product, card: FaultCard, said: str) -> Report:
    line = product.line(card.line)
    label = line.label if line else card.line
    where = f"station {card.station} of {label}" if card.station else f"{label}, no plan in force"
    tasks = {task.number: task for task in product.tasks}
    cautions = [
        caution.text or HAZARD_ADVICE[caution.hazard].caution
        for caution in (tasks[card.gate].cautions if card.gate in tasks else ())
    ]
    parts = {part.number: part.name for part in product.parts}
    table = ReportTable(
        heads=HEADS, rows=tuple(_row(row, parts) for row in card.rows), left=tuple(range(5))
    )
    return Report(
        title=f"Fault card: {card.name or card.gate}",
        subtitle=f"Task {card.gate}, {where}",
        facts=(("Product", product.code), *((("Version", said),) if said else ())),
        sections=(
            Section(
                heading="Find the place of the fault, write its code on the unit's ticket",
                cautions=(*cautions, DEFER),
                table=table,
            ),
        ),
        is_large=True,
    )


def _row(row: CardRow, parts: dict[str, str]) -> tuple[str, ...]:
    came = ", ".join(part for part in (f"task {row.task}" if row.task else "", row.station) if part)
    part = " ".join(filter(None, (row.part, parts.get(row.part, ""))))
    what = f"{row.who.capitalize()}: {row.reaction}" if row.reaction else row.who
    return (row.code, row.text, came or "not known", part or "-", what)
