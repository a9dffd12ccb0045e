"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

from stationflow.model import Direction

SourceArgument = Annotated[
    str,
    typer.Argument(
        metavar="SOURCE",
        help="A product folder, a product workbook (.xlsx), a published instance (.alb, .IN2), "
        "or a product code in the store.",
    ),
]
LineOption = Annotated[
    str | None, typer.Option("--line", help="The line; without it the main line.")
]
LimitOption = Annotated[
    str | None,
    typer.Option("--limit", help="Limit of a station in the source's unit (seconds for products)."),
]
StationsOption = Annotated[
    str | None,
    typer.Option("--stations", help="Number of stations, or a range 4..9 with --best-efficiency."),
]
DirectionOption = Annotated[
    Direction | None, typer.Option("--direction", help="For the rule methods; default both.")
]
SecondsOption = Annotated[
    float | None, typer.Option("--seconds", help="Time limit, for comsoal and exact (60).")
]
TrialsOption = Annotated[int | None, typer.Option("--trials", help="Trials of comsoal (1000).")]
SeedOption = Annotated[int | None, typer.Option("--seed", help="Seed, for comsoal and exact (1).")]
CoresOption = Annotated[int | None, typer.Option("--cores", help="Processor cores, for exact (1).")]
MemoryOption = Annotated[
    int | None,
    typer.Option("--memory", metavar="MIB", help="Memory of the search in MiB, for exact (2048)."),
]
NodesOption = Annotated[
    int | None,
    typer.Option(
        "--nodes", help="Most partial plans looked at, for exact; without it no limit but time."
    ),
]
ProgressOption = Annotated[
    bool, typer.Option("--progress", help="Write JSON lines on the way to stderr.")
]
PlanOption = Annotated[Path | None, typer.Option("--plan", help="A PLAN.json.")]
PictureOption = Annotated[Path, typer.Option("--out", help="FILE.svg, FILE.png or FILE.pdf.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document, nothing else.")]
