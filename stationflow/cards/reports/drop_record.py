"""The drop test on paper: what the unit is dropped on, from how high, and room for what is seen."""

from stationflow.cards.reports.report import Report, ReportTable, Section
from stationflow.line.quality.drop_test import DropPlan
from stationflow.model import DEFER, Product
from stationflow.pace.figures import figure

FACES = "Faces: 1 top, 3 bottom, 2 and 4 the sides, 5 and 6 the ends."
FORM_HEADS = ("To be filled in", "Entry")


def drop_record(product: Product, plan: DropPlan, said: str = "") -> Report:
    """Return the plan of the drop test as a form to be filled in; `said` names version and date."""
    mass = "" if plan.gross_kg is None else f"{figure(plan.gross_kg)} kg"
    height = "" if plan.height_mm is None else f"{figure(plan.height_mm)} mm"
    facts = (
        ("Product", product.code),
        ("Version", said),
        ("Procedure", plan.procedure.value),
        ("Gross mass", mass),
        ("Drop height", height),
    )
    rows = plan.record_rows
    sections = (
        Section(
            heading="Before the drops",
            cautions=(DEFER,),
            sentences=tuple(finding.message for finding in plan.findings),
            table=_form(plan.record_head),
        ),
        Section(
            heading="Drops, in this order",
            sentences=(FACES, *(f"{n.name.capitalize()}: {n.worked}." for n in plan.numbers[:2])),
            table=ReportTable(
                heads=plan.record_columns, rows=rows, left=(0, 1, 3, 4, 5), by_hand=(3, 4)
            ),
        ),
        Section(
            heading="After the drops",
            table=_form(plan.record_end),
            sentences=tuple(f"Source: {number.source}." for number in plan.numbers[:1]),
        ),
    )
    return Report(
        title="Drop test",
        subtitle=product.name,
        facts=tuple(fact for fact in facts if fact[1]),
        sections=tuple(each for each in sections if each.table and each.table.rows),
        is_large=True,
    )


def _form(labels: tuple[str, ...]) -> ReportTable:
    return ReportTable(
        heads=FORM_HEADS, rows=tuple((label, "") for label in labels), left=(0, 1), by_hand=(1,)
    )
