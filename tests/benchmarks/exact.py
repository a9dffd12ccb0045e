# ruff: noqa: T201 (a script that prints tables)
"""The exact method and general solvers on the published sets: one line kept for each question.

Run from the root of the repository:

    STATIONFLOW_INSTANCES=... python -m tests.benchmarks.exact run \
        --set scholl1 --solver ours --seconds 60
    STATIONFLOW_INSTANCES=... python -m tests.benchmarks.exact report --chart growth.svg

Sets: scholl1 (269 cases), medium, large, very_large (2013), scholl2 (302), growth, and
sample, on which the peers are measured: cabs, cp-sat, highs. What is in the results file
with the same solver, version, limit and cores is not run again. One question runs at a
time; times are by the clock and include writing the model, not imports and compiling.
"""

import argparse
import json
import sys
from pathlib import Path
from time import perf_counter

from tests.benchmarks.exact_chart import growth_chart
from tests.benchmarks.exact_questions import SETS, asked_of
from tests.benchmarks.exact_report import growth_points, report
from tests.benchmarks.exact_worker import OURS, SOLVERS, Asking, Line, Worker, key

RESULTS = Path(".benchmarks/exact.jsonl")


def main() -> None:
    """Run questions, or print what is known."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    commands = parser.add_subparsers(dest="command", required=True)
    run = commands.add_parser("run", help="ask a solver the questions of a set")
    run.add_argument("--set", choices=SETS, required=True)
    run.add_argument("--solver", choices=SOLVERS, default=OURS)
    run.add_argument("--seconds", type=float, default=20, help="limit of one question")
    run.add_argument("--cores", type=int, default=1, help="for ours; the peers have one")
    run.add_argument("--only", nargs="+", metavar="NAME", help="these questions of the set")
    run.add_argument("--label", default="", help="names a state of our code, kept apart")
    show = commands.add_parser("report", help="print the tables")
    show.add_argument("--cores", type=int, default=1, help="of ours")
    show.add_argument("--label", default="", help="the state of our code that is shown")
    show.add_argument("--chart", type=Path, help="SVG or PNG file for the growth")
    for command in (run, show):
        command.add_argument("--results", type=Path, default=RESULTS)
    options = parser.parse_args()
    if options.command == "run":
        _run(options)
    else:
        _report(options)


def _run(options: argparse.Namespace) -> None:
    """Ask what has not been asked."""
    if options.solver != OURS and (options.set == "scholl2" or options.cores != 1):
        sys.exit("The peers are asked for the fewest stations, on one core.")
    asking = Asking(
        solver=options.solver,
        seconds=options.seconds,
        cores=options.cores,
        label=options.label,
    )
    known = {key(line) for line in read_lines(options.results)}
    questions = asked_of(options.set, options.solver)
    if options.only:
        questions = tuple(q for q in questions if q.name in options.only)
        if missing := set(options.only) - {q.name for q in questions}:
            sys.exit(f"Not in the set: {', '.join(sorted(missing))}.")
    wanted = [question for question in questions if asking.key(question) not in known]
    print(f"{len(questions)} questions, {len(questions) - len(wanted)} of them known")
    worker, started = Worker(asking), perf_counter()
    try:
        for done, question in enumerate(wanted, 1):
            was_warm = worker.warm_up_s
            line = worker.ask(question)
            if worker.warm_up_s != was_warm and asking.solver == OURS:
                print(f"import, compile or load, and the warm-up: {worker.warm_up_s:.1f} s")
            append_line(options.results, line)
            value = line.get("stations", line.get("cycle"))
            print(
                f"{done}/{len(wanted)} {perf_counter() - started:6.0f} s  {line['instance']:18}"
                f"{line['status']:8}{value!s:>7} bound {line.get('bound')!s:8}"
                f"{line['wall_s']:9.2f} s  {line.get('note', '')}",
                flush=True,
            )
    finally:
        worker.close()


def _report(options: argparse.Namespace) -> None:
    """Print the tables and draw the growth."""
    lines = read_lines(options.results)
    version = Asking(solver=OURS, seconds=0, label=options.label).version
    print(report(lines, version, options.cores))
    if options.chart:
        kind = options.chart.suffix.removeprefix(".")
        points, limit_s = growth_points(lines, version, options.cores)
        options.chart.write_bytes(growth_chart(points, limit_s, kind))


def read_lines(path: Path) -> list[Line]:
    """Return the lines of the results file; a line cut off by an interrupt is left out."""
    if not path.is_file():
        return []
    lines = []
    for row in path.read_text("utf-8").splitlines():
        try:
            lines.append(json.loads(row))
        except json.JSONDecodeError:
            continue
    return lines


def append_line(path: Path, line: Line) -> None:
    """Add a line to the results file, apart from one that was cut off."""
    path.parent.mkdir(parents=True, exist_ok=True)
    is_cut_off = path.is_file() and not path.read_bytes().endswith(b"\n")
    with path.open("a", encoding="utf-8") as file:
        file.write("\n" * is_cut_off + json.dumps(line, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
