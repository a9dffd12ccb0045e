"""Reports on paper: what they hold, on how many pages."""

from dataclasses import replace
from datetime import date

import pypdfium2
import pytest
from small_plans import answer, station

from stationflow.cards.paper import Paper
from stationflow.cards.reports.drop_record import drop_record
from stationflow.cards.reports.fault_sheets import fault_reports
from stationflow.cards.reports.report import Report, ReportTable, Section
from stationflow.cards.reports.report_printing import reports_pdf
from stationflow.errors import CardError
from stationflow.line.quality.drop_test import drop_plan
from stationflow.model import (
    DEFER,
    Caution,
    DropProcedure,
    Explained,
    Fault,
    Hazard,
    Line,
    LinePlan,
    PackForm,
    Packing,
    Part,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Task,
)

TAKT = Explained(
    name="Takt time",
    value=60.0,
    unit="s",
    formula="takt time = working time / good units",
    worked="28 800 s / 480 = 60.000 s",
    source="common practice, no source",
    other="Some count breaks as working time.",
    where="line main",
)
PAGE = Report(
    title="Recommendation for the line of P-1",
    subtitle="Pump #1 *new* $x$",
    facts=(("Version", "3"),),
    sections=(
        Section(heading="What was asked", sentences=("480 good units a day.",)),
        Section(
            heading="Output",
            table=ReportTable(
                heads=("", "By formula", "Simulated"), rows=(("Units an hour", "58.1", "57.9"),)
            ),
        ),
    ),
    is_one_page=True,
)


def pages(pdf: bytes) -> list[str]:
    """Return the words of each page, line ends as blanks."""
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(p.get_textpage().get_text_bounded().split()) for p in document]


def test_words_are_set_as_they_are_typed():
    (said,) = pages(reports_pdf([PAGE]))
    assert "Pump #1 *new* $x$" in said
    assert "Units an hour 58.1 57.9" in said


def test_a_number_is_opened_with_formula_values_source_and_the_other_definition():
    opened = Report(title="Report", sections=(Section(heading="Pace", numbers=(TAKT,)),))
    (said,) = pages(reports_pdf([opened]))
    for part in (TAKT.formula, TAKT.worked, "Source: common practice", "Elsewhere: Some count"):
        assert part in said


@pytest.mark.parametrize("lines", [5, 60])
def test_a_recommendation_takes_one_page(lines):
    """At 10 points an A4 page holds some 55 lines, at 7 points some 80."""
    long = Section(heading="Assumptions", sentences=("A sentence of some words.",) * lines)
    assert len(pages(reports_pdf([replace(PAGE, sections=(long,))]))) == 1


def test_each_report_begins_a_page():
    assert len(pages(reports_pdf([PAGE, PAGE, PAGE]))) == 3


def test_cautions_stand_before_the_rest():
    section = Section(heading="Test", sentences=("Then test.",), cautions=("High voltage.",))
    (said,) = pages(reports_pdf([Report(title="Fault card", sections=(section,), is_large=True)]))
    assert said.index("High voltage.") < said.index("Then test.")


@pytest.mark.parametrize(
    ("paper", "points"),
    [(Paper.A4, (595, 842)), (Paper.A3, (842, 1191)), (Paper.LETTER, (612, 792))],
)
def test_paper_has_its_size(paper, points):
    page = pypdfium2.PdfDocument(reports_pdf([PAGE], paper=paper))[0]
    assert tuple(map(round, page.get_size())) == points


def test_the_same_report_and_date_give_the_same_file():
    day = date(2026, 11, 29)
    assert reports_pdf([PAGE], created=day) == reports_pdf([PAGE], created=day)


def test_nothing_to_print_is_a_sentence():
    with pytest.raises(CardError, match="nothing to print"):
        reports_pdf([])


TEST = Task(
    number="20",
    name="Test all functions",
    time_ms=30_000,
    cautions=(Caution(hazard=Hazard.MAINS, text="Discharge first."),),
    quality=QualityStep(kind=QualityKind.FUNCTION_TEST),
)
FAULTY = Product(
    code="P-1",
    lines=(Line(),),
    tasks=(Task(number="10", name="Fit motor", time_ms=30_000), TEST),
    parts=(Part(number="M-7", name="Motor"),),
    faults=(
        Fault(
            code="F1",
            text="Motor stands",
            gate="20",
            task="10",
            part="M-7",
            reaction="Change the plug.",
        ),
        Fault(code="F2", text="Noise", gate="20"),
    ),
)
FAULT_PLAN = ProductPlan(
    lines=(LinePlan(line="main", result=answer(station(1, ["10"]), station(2, ["20"]))),)
)


def test_the_fault_card_of_a_test_names_code_place_part_and_what_to_do():
    (said,) = pages(reports_pdf(fault_reports(FAULTY, FAULT_PLAN, "3, 2026-11-29")))
    assert "Fault card: Test all functions" in said
    assert "Task 20, station 2 of main" in said
    assert "F1 Motor stands task 10, station 1 M-7 Motor Repairer: Change the plug." in said


def test_the_cautions_of_the_test_stand_first_on_its_fault_card():
    (said,) = pages(reports_pdf(fault_reports(FAULTY, FAULT_PLAN)))
    assert said.index("Discharge first.") < said.index("F1")


def test_a_fault_card_without_cautions_defers_to_site_rules_too():
    harmless = replace(FAULTY, tasks=(FAULTY.tasks[0], replace(TEST, cautions=())))
    (said,) = pages(reports_pdf(fault_reports(harmless, FAULT_PLAN)))
    assert DEFER in said


def test_a_fault_whose_cause_is_not_known_says_so():
    (said,) = pages(reports_pdf(fault_reports(FAULTY, FAULT_PLAN)))
    assert "F2 Noise not known" in said


PACKED = Packing(gross_kg=12.5, form=PackForm.BOX, drop_procedure=DropProcedure.ISTA_1A)


def test_the_drop_test_is_a_form_of_one_page_with_its_drops_in_order():
    plan = drop_plan(PACKED)
    assert plan is not None
    (said,) = pages(reports_pdf([drop_record(Product(code="P-1"), plan, "3, 2026-11-29")]))
    # ISTA 1A, 10 to below 19 kg: 610 mm; 3.459 m/s
    assert "Drop height 610 mm" in said
    assert "3.459 m/s" in said
    assert "1 corner 2-3-5 610" in said
    assert said.index("1 corner") < said.index("10 the other largest face") < said.index("Signed")
    assert DEFER in said


def test_a_drop_test_without_a_height_says_why():
    plan = drop_plan(replace(PACKED, gross_kg=80))
    assert plan is not None
    (said,) = pages(reports_pdf([drop_record(Product(code="P-1"), plan)]))
    assert "80 kg is not below 68 kg" in said
    assert "corner" not in said
