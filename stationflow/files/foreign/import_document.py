"""What an import found, as one JSON document."""

from collections.abc import Mapping, Sequence
from typing import Any

from stationflow.files.foreign.import_report import Offer, Outcome, SheetImport
from stationflow.model import Finding, Part, Product, Severity, Task

SEVERITIES = {
    Outcome.ERROR: Severity.ERROR,
    Outcome.OFFERED: Severity.WARNING,
    Outcome.NOTED: Severity.WARNING,
    Outcome.CHANGED: Severity.NOTE,
    Outcome.LEFT_OUT: Severity.NOTE,
}


def import_document(
    records: Sequence[Task | Part],
    imported: SheetImport | None = None,
    findings: Sequence[Finding] = (),
    choices: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """Return the document of what was taken in; `findings` are about the whole file."""
    offers = imported.offers if imported else ()
    report = [
        {"severity": f.severity.value, "cell": "", "message": f"{f.where}: {f.message} {f.hint}"}
        for f in findings
    ]
    for entry in imported.report if imported else ():
        message = " ".join(filter(None, (entry.message, entry.hint)))
        severity = SEVERITIES[entry.severity].value
        report.append({"severity": severity, "cell": entry.address, "message": message})
    for offer in offers:
        if offer.answer(choices or {}) is None:
            message = f"Left open: {offer.sentence}"
            report += [
                {"severity": Severity.WARNING.value, "cell": cell, "message": message}
                for cell in offer.cells
            ]
    asked = {offer.id for offer in offers}
    for unasked in sorted(set(choices or {}) - asked):
        message = f"The answer {unasked[:80]!r} is to no question of this sheet; it was not used."
        report.append({"severity": Severity.WARNING.value, "cell": "", "message": message})
    return {
        "tasks": [_task(record) for record in records if isinstance(record, Task)],
        "parts": [_part(record) for record in records if isinstance(record, Part)],
        "questions": [_question(offer, choices or {}) for offer in offers],
        "report": report,
    }


def product_records(product: Product) -> tuple[Task | Part, ...]:
    """Return the tasks and parts of a product."""
    return (*product.tasks, *product.parts)


def is_settled(document: Mapping[str, Any]) -> bool:
    """Return whether nothing is open and no error was met."""
    is_open = any(question["chosen"] is None for question in document["questions"])
    has_error = any(line["severity"] == Severity.ERROR.value for line in document["report"])
    return not is_open and not has_error


def question_words(offer: Offer) -> str:
    """Return a question with its evidence and what each answer would mean."""
    outcomes = "; ".join(f"{choice.value} - {choice.label}" for choice in offer.choices)
    more = " Or the number of another task." if offer.accepts else ""
    said = " ".join(filter(None, (offer.sentence, offer.evidence)))
    return f"{said} Answers: {outcomes}.{more}"


def _question(offer: Offer, choices: Mapping[str, str]) -> dict[str, Any]:
    return {
        "id": offer.id,
        "cells": list(offer.cells),
        "text": question_words(offer),
        "choices": [choice.value for choice in offer.choices],
        "chosen": offer.answer(choices),
    }


def _task(task: Task) -> dict[str, Any]:
    return {
        "number": task.number,
        "name": task.name,
        "time_s": None if task.time_ms is None else task.time_ms / 1000,
        "predecessors": list(task.predecessors),
    }


def _part(part: Part) -> dict[str, Any]:
    return {"number": part.number, "name": part.name, "quantity": part.quantity}
