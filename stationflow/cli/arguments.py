"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

from stationflow import model

Source = Annotated[
    str,
    typer.Argument(
        metavar="SOURCE",
        help="A product folder, a product workbook (.xlsx), a published instance (.alb, .IN2), "
        "or a product code in the store.",
    ),
]
Line = Annotated[str | None, typer.Option("--line", help="The line; without it the main line.")]
Limit = Annotated[
    str | None,
    typer.Option("--limit", help="Limit of a station in the source's unit (seconds for products)."),
]
StationRange = Annotated[
    str | None,
    typer.Option("--stations", help="Number of stations, or a range 4..9 with --best-efficiency."),
]
Stations = Annotated[
    int | None,
    typer.Option("--stations", min=1, help="Number of stations; with --limit at most so many."),
]
Direction = Annotated[
    model.Direction | None, typer.Option("--direction", help="For the rule methods; default both.")
]
Seconds = Annotated[
    float | None, typer.Option("--seconds", help="Time limit, for exact (60) and comsoal (none).")
]
Trials = Annotated[int | None, typer.Option("--trials", help="Trials of comsoal (1000).")]
Seed = Annotated[int | None, typer.Option("--seed", help="Seed, for comsoal and exact (1).")]
Cores = Annotated[int | None, typer.Option("--cores", help="Processor cores, for exact (1).")]
Memory = Annotated[
    int | None,
    typer.Option("--memory", metavar="MIB", help="Memory of the search in MiB, for exact (2048)."),
]
Nodes = Annotated[
    int | None,
    typer.Option(
        "--nodes", help="Most partial plans looked at, for exact; without it no limit but time."
    ),
]
Then = Annotated[
    list[model.FinerGoal] | None,
    typer.Option("--then", help="A second goal among the best plans; may be given twice."),
]
Progress = Annotated[
    bool, typer.Option("--progress", help="Write JSON lines on the way to stderr.")
]
Plan = Annotated[Path | None, typer.Option("--plan", help="A PLAN.json.")]
Picture = Annotated[Path, typer.Option("--out", help="FILE.svg, FILE.png or FILE.pdf.")]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document, nothing else.")]
