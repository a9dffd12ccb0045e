"""The commands.

Exit codes: 0 done; 1 the data has errors, nothing was found, or a second solver contradicts the
answer; 2 wrong usage.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, cast

import typer

from stationflow.actions.trouble import report_trouble
from stationflow.cli import arguments as given
from stationflow.cli import reports
from stationflow.cli.options import (
    answers_option,
    balance_settings,
    card_file_kind,
    ending_of,
    one_of,
    station_range_option,
    weights_option,
)
from stationflow.cli.progress_lines import LineProgress, PlainProgress
from stationflow.cli.terminal import say, say_block
from stationflow.errors import NoLimitError, NoSourceError, SourceError, StationflowError
from stationflow.model import BalanceSettings, Confirmation, CurveSettings, Finding, has_errors

if TYPE_CHECKING:
    from stationflow.actions.opening.opened import Opened
    from stationflow.drawing.render import Kind

Made = tuple[bytes | None, tuple[Finding, ...]]
"""A file's bytes, None: there is none, and what was found."""

app = typer.Typer(
    name="stationflow",
    help="Plan paced assembly lines: balance lines, print station cards.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

EXPORTED = (
    "tasks", "parts", "findings", "pace", "matrix", "stations", "assignment", "numbers",
)  # fmt: skip
"""What can be exported, as `actions.showing.exporting.What` names it."""
INTERRUPTED = 130
"""How typer ends a command that was interrupted."""


@app.command()
def balance(
    source: given.Source,
    line: given.Line = None,
    all_lines: Annotated[bool, typer.Option("--all-lines", help="Every line at its pace.")] = False,
    joint: Annotated[
        bool,
        typer.Option(
            "--joint", help="All lines at once, tasks on the lines where they serve best."
        ),
    ] = False,
    limit: given.Limit = None,
    stations: given.StationRange = None,
    best_efficiency: Annotated[
        bool, typer.Option("--best-efficiency", help="Smallest stations x cycle time.")
    ] = False,
    method: Annotated[str, typer.Option("--method", help="How to balance.")] = "exact",
    direction: given.Direction = None,
    seconds: given.Seconds = None,
    trials: given.Trials = None,
    seed: given.Seed = None,
    cores: given.Cores = None,
    memory: given.Memory = None,
    nodes: given.Nodes = None,
    then: given.Then = None,
    confirm: Annotated[
        bool, typer.Option("--confirm", help="Ask a second, independent solver about the answer.")
    ] = False,
    progress: given.Progress = False,
    as_json: given.Json = False,
) -> None:
    """Balance a line: which task at which station, how good, how far from the best possible."""
    from stationflow.actions.plans.opened_balancing import balance_opened

    if all_lines + joint + (line is not None) > 1:
        raise typer.BadParameter("Give one of --line, --all-lines and --joint.")
    if joint and (limit is not None or stations is not None or then or confirm):
        raise typer.BadParameter(
            "--joint balances all lines at their own pace: it takes none of "
            "--limit, --stations, --then and --confirm."
        )
    first, last = station_range_option(stations, best_efficiency)
    settings = balance_settings(
        method=method,
        limit=limit,
        stations=last,
        stations_from=first,
        direction=direction,
        seconds=seconds,
        trials=trials,
        seed=seed,
        cores=cores,
        memory_mb=memory,
        nodes=nodes,
        then=tuple(then or ()),
    )
    try:
        opened = _opened(source)
    except SourceError as problem:
        if isinstance(problem, NoSourceError) or not as_json:
            raise
        reports.print_refused_balance(source, settings, problem, in_list=all_lines or joint)
        raise typer.Exit(1) from problem
    names = opened.lines if all_lines else [opened.line(line)]
    watcher = LineProgress() if progress else PlainProgress()
    if joint:
        if not _balanced_jointly(opened, settings, watcher, as_json=as_json):
            raise typer.Exit(1)
        return
    results = [balance_opened(opened, name, settings, watcher) for name in names]
    said: list[Confirmation | None] = [None] * len(results)
    if confirm:
        from stationflow.actions.plans.confirming import confirmed

        said = [confirmed(opened, result, watcher) for result in results]
    answers = list(zip(results, said, strict=True))
    if as_json:
        reports.print_balances(opened, answers, in_list=all_lines)
    else:
        reports.tell_balances(opened, answers)
    contradicted = any(each is not None and each.agrees is False for each in said)
    if contradicted or not all(result.has_plan for result in results):
        raise typer.Exit(1)


def _balanced_jointly(
    opened: "Opened", settings: BalanceSettings, watcher: PlainProgress, *, as_json: bool
) -> bool:
    """Balance all lines at once, report it, and return whether there are plans."""
    from stationflow.actions.plans.joint_balancing import balance_jointly

    if opened.instance is not None:
        raise typer.BadParameter("A published instance has one line: leave --joint out.")
    found = balance_jointly(opened, settings, watcher)
    reports.report_joint(opened, found, as_json=as_json)
    return found.has_plans


@app.command()
def check(source: given.Source, as_json: given.Json = False) -> None:
    """Check a product and list every finding."""
    from stationflow.actions.showing.checking import check_opened

    findings = check_opened(_opened(source))
    reports.report_findings(source, findings, as_json=as_json)
    if has_errors(findings):
        raise typer.Exit(1)


@app.command()
def compare(
    source: given.Source,
    plans: Annotated[list[Path] | None, typer.Option("--plan", help="A PLAN.json; repeat.")] = None,
    methods: Annotated[list[str] | None, typer.Option("--method", help="A method; repeat.")] = None,
    line: given.Line = None,
    limit: given.Limit = None,
    stations: given.Stations = None,
    as_json: given.Json = False,
) -> None:
    """Compare plans side by side, given as files or made now by several methods."""
    from stationflow.actions.showing.comparing import compare_methods, compare_plans

    if bool(plans) == bool(methods):
        raise typer.BadParameter("Give --plan A.json --plan B.json, or --method M --method N.")
    if plans and (limit or stations):
        raise typer.BadParameter("--limit and --stations go with --method; plans have theirs.")
    every = [balance_settings(method=m, limit=limit, stations=stations) for m in methods or []]
    opened = _opened(source)
    compared = compare_plans(opened, line, plans) if plans else compare_methods(opened, line, every)
    reports.report_comparison(opened, compared, as_json=as_json)
    if not all(each.plan.result.has_plan for each in compared.plans):
        raise typer.Exit(1)


@app.command()
def explain(
    source: given.Source,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[WORD]...",
            help="Which numbers: takt-time, balance-efficiency, station-3; none: a list of all.",
        ),
    ] = None,
    line: given.Line = None,
    plan: given.Plan = None,
    as_json: given.Json = False,
) -> None:
    """Open a number: formula, values put in, source, other definition, cross-check."""
    from stationflow.actions.showing.explaining import explain_opened
    from stationflow.cli import explain_report

    asked = explain_opened(_opened(source), line, plan)
    numbers, missing = explain_report.chosen_numbers(asked, words or [])
    asked = replace(asked, findings=tuple(dict.fromkeys((*missing, *asked.findings))))
    if as_json:
        explain_report.print_explained(source, asked, numbers)
    elif words:
        explain_report.print_opened(asked, numbers)
    else:
        explain_report.print_list(asked)
    if missing or not asked.numbers:
        raise typer.Exit(1)


@app.command()
def diagram(
    source: given.Source,
    out: given.Picture,
    plan: given.Plan = None,
    line: given.Line = None,
    as_json: given.Json = False,
) -> None:
    """Draw the precedence diagram of a line, stations marked when there is a plan."""
    from stationflow.actions.showing.drawings import Kind, draw_opened

    kind = cast(Kind, ending_of(out, ("svg", "png", "pdf")))
    made = draw_opened(_opened(source), line=line, plan=plan, kind=kind)
    _give(source, out, made, as_json=as_json)


@app.command()
def chart(
    source: given.Source,
    out: given.Picture,
    plan: given.Plan = None,
    line: given.Line = None,
    as_json: given.Json = False,
) -> None:
    """Draw the load chart of a plan: the work of each station against the limit."""
    from stationflow.actions.showing.exporting import chart_opened

    kind = cast(Literal["svg", "png", "pdf"], ending_of(out, ("svg", "png", "pdf")))
    made = chart_opened(_opened(source), line=line, plan=plan, kind=kind)
    _give(source, out, made, as_json=as_json)


@app.command()
def export(
    source: given.Source,
    what: Annotated[
        str | None, typer.Option("--what", help=f"One of {', '.join(EXPORTED)}.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", help="FILE.csv or FILE.xlsx.")] = None,
    folder: Annotated[
        Path | None,
        typer.Option("--folder", help="A new or empty folder for the whole product."),
    ] = None,
    plan: given.Plan = None,
    line: given.Line = None,
    as_json: given.Json = False,
) -> None:
    """Write one table for a spreadsheet program, as CSV or XLSX, or the whole product folder."""
    from stationflow.actions.showing.exporting import What, export_opened

    if folder is not None:
        if what or out or plan or line:
            raise typer.BadParameter("--folder writes the whole product; give it alone.")
        _export_folder(source, folder, as_json=as_json)
        return
    if what is None or out is None:
        raise typer.BadParameter("Give --what and --out, or --folder.")
    wanted = What(one_of("--what", what, EXPORTED))
    ending = cast(Literal["csv", "xlsx"], ending_of(out, ("csv", "xlsx")))
    made = export_opened(_opened(source), wanted, line=line, plan=plan, ending=ending)
    _give(source, out, made, as_json=as_json, strict=wanted != What.FINDINGS)


@app.command()
def cards(
    source: given.Source,
    out: Annotated[Path, typer.Option("--out", help="FILE.pdf, .html, .xlsx or .zip.")],
    plan: given.Plan = None,
    line: given.Line = None,
    station: Annotated[
        int | None, typer.Option("--station", help="Number of the only station to print.")
    ] = None,
    paper: Annotated[
        str | None,
        typer.Option("--paper", help="a4, a3 or letter; without it what fits most cards."),
    ] = None,
    portrait: Annotated[
        bool | None,
        typer.Option(
            "--portrait/--across", help="Upright pages or not; without it what fits most cards."
        ),
    ] = None,
    large_print: Annotated[
        bool, typer.Option("--large-print", help="No text smaller than 16 points.")
    ] = False,
    language: Annotated[
        str | None,
        typer.Option("--language", help="Of the fixed words; without it told by the letters."),
    ] = None,
    each: Annotated[
        str | None, typer.Option("--each", help="In FILE.zip: pdf (usual) or html.")
    ] = None,
    as_json: given.Json = False,
) -> None:
    """Print the station cards of a line as PDF, web page, workbook or archive."""
    from stationflow.actions.showing.card_printing import (
        LANGUAGES,
        PAPERS,
        print_cards,
    )

    kind = card_file_kind(out, each)
    made = print_cards(
        _opened(source),
        line=line,
        plan=plan,
        kind=kind,
        station=station,
        paper=one_of("--paper", paper, PAPERS) if paper else None,
        portrait=portrait,
        large_print=large_print,
        language=one_of("--language", language, LANGUAGES) if language else None,
        on=datetime.now(UTC).date(),
    )
    _give(source, out, made, as_json=as_json)


@app.command()
def curve(
    source: given.Source,
    line: given.Line = None,
    seconds: Annotated[
        float, typer.Option("--seconds", help="Time limit for the whole curve.")
    ] = 60.0,
    seconds_each: Annotated[
        float | None, typer.Option("--seconds-each", help="Time limit for one point.")
    ] = None,
    seed: given.Seed = None,
    cores: given.Cores = None,
    memory: given.Memory = None,
    progress: given.Progress = False,
    as_json: given.Json = False,
) -> None:
    """Find the shortest cycle time of every number of stations, proved or bracketed."""
    from stationflow.actions.plans.curves import curve_of, curve_problems
    from stationflow.cli.curve_report import report_curve

    settings = CurveSettings(
        seconds=seconds, seconds_each=seconds_each, seed=seed, cores=cores, memory_mb=memory
    )
    if problems := curve_problems(settings):
        raise typer.BadParameter(" ".join(problems))
    opened = _opened(source)
    watcher = LineProgress() if progress else PlainProgress()
    answer = curve_of(opened, opened.line(line), settings, watcher)
    report_curve(opened, answer, as_json=as_json)
    if answer.curve is None:
        raise typer.Exit(1)


@app.command()
def rebalance(
    source: given.Source,
    old: Annotated[Path, typer.Option("--from", help="The PLAN.json the line works by now.")],
    line: given.Line = None,
    limit: given.Limit = None,
    stations: given.Stations = None,
    seconds: Annotated[float, typer.Option("--seconds", help="Time limit.")] = 60.0,
    weights: Annotated[
        str | None,
        typer.Option("--weights", help="Of upheaval, for example moves=1,tools=2 (moves=1)."),
    ] = None,
    progress: given.Progress = False,
    as_json: given.Json = False,
) -> None:
    """Follow a new limit, demand or changed tasks with the fewest moves from an old plan."""
    from stationflow.actions.plans.opened_rebalancing import rebalance_from_file
    from stationflow.cli.rebalance_report import report_rebalance

    asked = balance_settings(method="exact", limit=limit, stations=stations, seconds=seconds)
    weighed = weights_option(weights)
    opened = _opened(source)
    watcher = LineProgress() if progress else PlainProgress()
    answer = rebalance_from_file(opened, line, old, asked, watcher, weighed)
    report_rebalance(opened, answer, as_json=as_json)
    if not answer.result.has_plan:
        raise typer.Exit(1)


@app.command("line")
def whole_line(
    source: given.Source,
    plan: given.Plan = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Drawing of the line: FILE.svg, FILE.png or FILE.pdf."),
    ] = None,
    report: Annotated[
        Path | None, typer.Option("--report", help="FILE.pdf: every number opened.")
    ] = None,
    recommendation: Annotated[
        Path | None, typer.Option("--recommendation", help="FILE.pdf: one page.")
    ] = None,
    fault_cards: Annotated[
        Path | None, typer.Option("--fault-cards", help="FILE.pdf: one card for each test.")
    ] = None,
    drop_test: Annotated[
        Path | None, typer.Option("--drop-test", help="FILE.pdf: the form of the drop test.")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="Of the reports: a4, a3, letter.")] = "a4",
    as_json: given.Json = False,
) -> None:
    """Count the whole line: machines, tests, repair, soak, places, leads, output, what pays."""
    from stationflow.actions.showing import line_showing, simulating
    from stationflow.actions.showing.card_printing import PAPERS
    from stationflow.cards.paper import Paper
    from stationflow.cli import line_report
    from stationflow.files.exports.line_documents import line_document
    from stationflow.line.simulation.simulated import SimulationSettings

    kind = ending_of(out, ("svg", "png", "pdf")) if out else ""
    for name, file in (
        ("--report", report),
        ("--recommendation", recommendation),
        ("--fault-cards", fault_cards),
        ("--drop-test", drop_test),
    ):
        if file:
            ending_of(file, ("pdf",), name)
    size = Paper(one_of("--paper", paper, PAPERS))
    opened = _product(source, "line")
    view = line_showing.line_view(opened, plan)
    said = str(opened.version or "")
    on = datetime.now(UTC).date()
    simulated = None
    if (report or recommendation) and view.gathered.plan.lines:
        simulated = simulating.simulate_lines(
            opened, SimulationSettings(), PlainProgress(), plan
        ).simulated
    made: list[tuple[Path, Callable[[], bytes]]] = []
    if out:
        drawn = partial(line_showing.line_drawing_file, view, cast("Kind", kind), said)
        made.append((out, drawn))
    if report:
        made.append((report, lambda: line_showing.full_report_pdf(view, simulated, said, size, on)))
    if recommendation:
        one_page = line_showing.recommendation_pdf
        made.append((recommendation, lambda: one_page(view, simulated, said, size, on)))
    if fault_cards:
        made.append((fault_cards, lambda: line_showing.fault_cards_pdf(view, said, size, on)))
    if drop_test:
        made.append((drop_test, lambda: line_showing.drop_record_pdf(view, said, size, on)))
    for file, make in made:
        _write(file, make())
    parallel = line_showing.parallel_options(view.gathered.product)
    if as_json:
        reports.print_json(
            line_document(source, view.whole, view.throughput, parallel, view.findings)
        )
    elif made:
        reports.tell_findings(view.findings)
        for file, _ in made:
            say(f"Written: {file}")
    else:
        line_report.tell_line(view, parallel)
    if has_errors(view.findings):
        raise typer.Exit(1)


@app.command()
def simulate(
    source: given.Source,
    plan: Annotated[
        list[Path] | None,
        typer.Option("--plan", help="A PLAN.json; several are ranked by their output."),
    ] = None,
    hours: Annotated[
        float, typer.Option("--hours", help="Of each replication, after the warm-up.")
    ] = 40.0,
    replications: Annotated[int, typer.Option("--replications", help="Runs apart.")] = 10,
    seed: Annotated[int, typer.Option("--seed", help="Of the random numbers.")] = 1,
    processes: Annotated[
        int | None,
        typer.Option("--processes", min=1, max=61, help="For several plans (one for each core)."),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option("--cluster", metavar="ADDRESS", help="A Dask scheduler, for several plans."),
    ] = None,
    progress: given.Progress = False,
    as_json: given.Json = False,
) -> None:
    """Simulate all lines: output with its limits, what each station did, what limits it."""
    from stationflow.actions.showing import simulating
    from stationflow.cli import line_report
    from stationflow.files.exports.line_documents import simulation_document, simulations_document
    from stationflow.line.simulation.simulated import SimulationSettings

    settings = SimulationSettings(hours=hours, replications=replications, seed=seed)
    if problems := simulating.simulation_problems(settings):
        raise typer.BadParameter(" ".join(problems))
    files = plan or []
    shared_out = [
        name for name, said in (("--processes", processes), ("--cluster", cluster)) if said
    ]
    if shared_out and (len(files) < 2 or len(shared_out) > 1):
        raise typer.BadParameter("Give --processes or --cluster, with two --plan or more.")
    opened = _product(source, "simulate")
    watcher = LineProgress() if progress else PlainProgress()
    if len(files) > 1:
        ranked = simulating.rank_plans(
            opened, settings, watcher, files, processes=processes, address=cluster or ""
        )
        if as_json:
            told = [(p.name, p.made.simulated, p.made.findings, p.more_per_h) for p in ranked]
            reports.print_json(simulations_document(source, told))
        else:
            line_report.tell_ranked(ranked)
        if any(has_errors(each.made.findings) for each in ranked):
            raise typer.Exit(1)
        return
    made = simulating.simulate_lines(opened, settings, watcher, files[0] if files else None)
    if as_json:
        reports.print_json(simulation_document(source, made.simulated, made.findings))
    else:
        line_report.tell_simulated(made.simulated, made.findings)
    if has_errors(made.findings):
        raise typer.Exit(1)


@app.command("import")
def import_sheet(
    sheet: Annotated[
        Path,
        typer.Argument(
            metavar="SHEET", exists=True, dir_okay=False, help="A workbook or text table."
        ),
    ],
    name: Annotated[
        str | None,
        typer.Option("--sheet", help="A sheet of the workbook; without it the likeliest."),
    ] = None,
    answers: Annotated[
        list[str] | None, typer.Option("--answer", help="ID=CHOICE of a question; repeat.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="A new or empty folder, written once nothing is open."),
    ] = None,
    as_json: given.Json = False,
) -> None:
    """Take in a sheet from somebody else: its tasks or parts, what is open, what became of it."""
    from stationflow.actions.importing import sheet_taking
    from stationflow.actions.products.products_out import folder_problem
    from stationflow.cli import import_text
    from stationflow.files.foreign.import_document import is_settled

    choices = answers_option(answers or [])
    if out is not None and (problem := folder_problem(out)):
        raise typer.BadParameter(f"--out: {problem}")
    try:
        taken = sheet_taking.take_sheet(sheet, name, choices)
    except SourceError as refusal:
        if not as_json:
            raise
        reports.print_json(sheet_taking.refused_document(refusal))
        raise typer.Exit(1) from refusal
    if problem := sheet_taking.answer_problem(taken, choices):
        raise typer.BadParameter(f"--answer: {problem}")
    document = sheet_taking.document_of(taken, choices)
    if out is not None and not taken.open_questions:
        sheet_taking.write_taken(taken, out)
    if as_json:
        reports.print_json(document)
    else:
        import_text.tell_import(document, None if taken.open_questions else out)
    if not is_settled(document):
        raise typer.Exit(1)


def _opened(source: str) -> "Opened":
    """Open what a command names."""
    from stationflow.actions.opening.opened import open_source

    return open_source(source, tell=lambda said: say(said, err=True))


def _product(source: str, command: str) -> "Opened":
    """Open a product; a published instance is wrong usage."""
    opened = _opened(source)
    if opened.instance:
        raise typer.BadParameter(
            f"{source} is a published instance of one line; {command} takes products."
        )
    return opened


def _export_folder(source: str, folder: Path, *, as_json: bool) -> None:
    """Write a product with pictures and plans as a folder."""
    from stationflow.actions.products.products_out import folder_problem, write_folder

    if problem := folder_problem(folder):
        raise typer.BadParameter(f"--folder: {problem}")
    opened = _opened(source)
    if opened.instance:
        raise typer.BadParameter("A published instance is no product; --folder writes products.")
    write_folder(opened, folder)
    reports.report_file(source, folder, opened.findings, as_json=as_json)
    if has_errors(opened.findings):
        raise typer.Exit(1)


def _give(source: str, out: Path, made: Made, *, as_json: bool, strict: bool = True) -> None:
    """Write what was made and say what was found; end with 1 where that is not whole."""
    content, findings = made
    if content is not None:
        _write(out, content)
    reports.report_file(source, None if content is None else out, findings, as_json=as_json)
    if content is None or (strict and has_errors(findings)):
        raise typer.Exit(1)


def _write(out: Path, content: bytes) -> None:
    """Write a file whole, or say why it cannot be written."""
    from stationflow.files.whole_files import write_whole

    try:
        write_whole(out, content)
    except OSError as problem:
        raise StationflowError(
            f"{out} cannot be written: {problem.strerror}.", "Choose another file."
        ) from problem


def main() -> None:
    """Run a command; no traceback ever reaches the person at the screen."""
    try:
        app()
    except (NoSourceError, NoLimitError) as problem:
        say_block(str(problem), err=True)
        sys.exit(2)
    except StationflowError as problem:
        if "--json" in sys.argv:
            reports.print_refusal(problem)
        say_block(str(problem), err=True)
        sys.exit(1)
    except SystemExit as ended:
        if ended.code != INTERRUPTED:
            raise
        say("Stopped.", err=True)
        sys.exit(1)
    except Exception as problem:
        say(report_trouble(problem), err=True)
        sys.exit(1)
