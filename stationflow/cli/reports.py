"""What the commands print, as text for people or as JSON."""

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stationflow.cli.terminal import one_line_of, say, say_block
from stationflow.errors import StationflowError
from stationflow.model import (
    MAIN_LINE,
    BalanceResult,
    BalanceSettings,
    Confirmation,
    Finding,
    Severity,
    error,
)

if TYPE_CHECKING:
    from stationflow.actions.opening.opened import Opened
    from stationflow.balancing.compare.plans_compared import Comparison
    from stationflow.line.joint.joint_balance import JointBalance


Answers = Sequence[tuple[BalanceResult, Confirmation | None]]
"""Balanced lines, each with what a second solver says of it."""


def print_balances(opened: "Opened", answers: Answers, *, in_list: bool) -> None:
    """Print the JSON document of one line, or a list of them."""
    from stationflow.files.plan_document import plan_document

    documents = [plan_document(opened.name, result, said) for result, said in answers]
    print_json({"lines": documents} if in_list else documents[0])


def tell_balances(opened: "Opened", answers: Answers) -> None:
    """Print the balances as text."""
    from stationflow.actions.plans.opened_balancing import why_of_result
    from stationflow.balancing.explained.summary import summary

    for result, said in answers:
        say_block(summary(result, opened.name, why_of_result(opened, result), said))
        tell_findings(result.findings)
        say("")


def report_joint(opened: "Opened", found: "JointBalance", *, as_json: bool) -> None:
    """Print all lines balanced at once."""
    from stationflow.actions.plans.joint_balancing import joint_words
    from stationflow.files.plan_document import plan_document

    answers = [(result, None) for result in found.results]
    if not as_json:
        tell_balances(replace(opened, read=found.product), answers)
        tell_findings(found.findings)
        say(joint_words(found))
        return
    print_json(
        {
            "lines": [plan_document(opened.name, result) for result in found.results],
            "moved": [{"task": m.task, "from": m.old, "to": m.new} for m in found.moved],
            "total_stations": found.total_stations,
            "separate_stations": found.separate_stations,
            "lower_bound": found.lower_bound,
            "ending": found.ending,
            "findings": finding_documents(found.findings),
        }
    )


def report_findings(source: str, findings: Sequence[Finding], *, as_json: bool) -> None:
    """Print all findings."""
    if as_json:
        print_json({"source": source, "findings": finding_documents(findings)})
        return
    tell_findings(findings)
    count = {s: sum(f.severity == s for f in findings) for s in Severity}
    say(", ".join(f"{n} {s}{'' if n == 1 else 's'}" for s, n in count.items()))


def report_comparison(opened: "Opened", compared: "Comparison", *, as_json: bool) -> None:
    """Print plans side by side, and in words how they differ from the first."""
    from stationflow.files.exports.comparison_tables import comparison_document

    if as_json:
        print_json(comparison_document(opened.name, compared))
        return
    for sentence in compared.assumptions:
        say(f"Note: {sentence}")
    tell_table([("", *compared.labels), *((f.name, *f.texts) for f in compared.figures)])
    if len(compared.plans) > 1:
        others = [at for at in range(len(compared.plans)) if at != compared.base]
        base = compared.labels[compared.base]
        say("")
        say(f"Differences from {base}:")
        rows = [
            (f.name, *(d.text if (d := f.differences[at]) else "-" for at in others), f.best_words)
            for f in compared.figures
            if any(f.differences)
        ]
        tell_table([("", *(compared.labels[at] for at in others), "best"), *rows])
        for at in others:
            _tell_differences(compared, at)
    found = (f for each in compared.plans for f in each.plan.result.findings)
    tell_findings(tuple(dict.fromkeys(found)))


def tell_table(rows: Sequence[Sequence[str]]) -> None:
    """Print rows of cells, the first of each to the left and the others to the right."""
    rows = [[one_line_of(cell) for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    for row in rows:
        cells = [row[0].ljust(widths[0])]
        cells += [text.rjust(width) for text, width in zip(row[1:], widths[1:], strict=True)]
        say("  ".join(cells).rstrip())


def _tell_differences(compared: "Comparison", at: int) -> None:
    """Print in words how one plan differs from the base plan."""
    said = compared.differences[at]
    if said is None:
        return
    say("")
    say(f"{compared.labels[at]} beside {compared.labels[compared.base]}:")
    for sentence in (*said.settings, *said.inputs, *said.stations):
        say(f"  {sentence}")


def report_file(
    source: str, written: Path | None, findings: Sequence[Finding], *, as_json: bool
) -> None:
    """Print which file was written (None: none was), and what should be known about it."""
    if as_json:
        file = None if written is None else str(written)
        print_json({"source": source, "file": file, "findings": finding_documents(findings)})
        return
    tell_findings(findings)
    if written is not None:
        say(f"Written: {written}")


def print_refused_balance(
    source: str, settings: BalanceSettings, problem: StationflowError, *, in_list: bool
) -> None:
    """Print the JSON document of a balance whose source could not be read."""
    from stationflow.files.plan_document import plan_document

    finding = error("file-broken", source, problem.message, problem.hint)
    document = plan_document(
        source, BalanceResult(line=MAIN_LINE, asked=settings, findings=(finding,))
    )
    print_json({"lines": [document]} if in_list else document)


def print_refusal(problem: StationflowError) -> None:
    """Print the JSON document of a command that could not go on."""
    finding = error("file-broken", "source", problem.message, problem.hint)
    print_json({"findings": finding_documents([finding])})


def tell_findings(findings: Sequence[Finding]) -> None:
    """Print findings as text, one a line."""
    for finding in findings:
        say(str(finding))


def finding_documents(findings: Sequence[Finding]) -> list[dict[str, str]]:
    """Return findings for JSON."""
    return [asdict(finding) for finding in findings]


def print_json(document: dict[str, Any]) -> None:
    """Print one JSON document."""
    say(json.dumps(document, ensure_ascii=False, allow_nan=False))
