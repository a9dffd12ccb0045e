"""The editable tables of what belongs to one task, and of the product's pace."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from stationflow.model import (
    HAZARD_ADVICE,
    Break,
    Caution,
    Check,
    Equipment,
    Hazard,
    Line,
    Model,
    Part,
    PartUse,
    Product,
    Shift,
    StationSetting,
    Step,
    TimeLag,
    ToolUse,
)
from stationflow.model.schema.cells import join_list, split_list
from stationflow.model.schema.columns import Kind
from stationflow.ui.grids.grid_columns import (
    Column,
    choice_column,
    clock_column,
    number_column,
    text_column,
    time_column,
)


@dataclass(frozen=True, slots=True)
class DetailTable:
    """One editable table of a task's or product's own records.

    Attributes
    ----------
    field
        The field of the owner that holds the records.
    title
        What the table is called.
    columns
        Its columns.
    new
        Makes an empty record.
    help
        One sentence on how to fill it.
    """

    field: str
    title: str
    columns: tuple[Column, ...]
    new: Callable[[], Any]
    help: str


def task_details(product: Product) -> tuple[DetailTable, ...]:
    """Return the tables of one task of a product."""
    pictures = ["", *sorted(p.name for p in product.pictures)]
    parts = ["", *(p.number for p in product.parts)]
    return (
        DetailTable(
            "steps",
            "Important steps",
            (
                text_column("text", "Important step", width=370),
                text_column("key_point", "Key point", width=260),
                text_column("reason", "Reason", width=270),
                choice_column("picture", "Picture", pictures, width=120),
                time_column("time_ms", "Time", product.time_unit),
            ),
            lambda: Step(text=""),
            "What advances the work, verb first; the key point that makes or breaks it; and why. "
            "Leave times empty, or let them add up to the task's time.",
        ),
        DetailTable(
            "parts",
            "Parts",
            (
                choice_column("part", "Part", parts, width="medium"),
                number_column("quantity", "Quantity", empty=1, width="small"),
            ),
            lambda: PartUse(part=""),
            "Parts this task fits, chosen from the parts list of the product.",
        ),
        DetailTable(
            "tools",
            "Tools",
            (
                text_column("tool", "Tool, jig or gauge", width="large"),
                text_column("setting", "Setting", width="medium"),
            ),
            lambda: ToolUse(tool=""),
            "With the setting and its unit, for example 1.2 N m.",
        ),
        DetailTable(
            "checks",
            "Checks",
            (
                text_column("text", "Check", width=250),
                text_column("limit", "Limit", width=180),
                text_column("method", "Method", width=180),
                text_column("frequency", "Frequency", width=120),
                text_column("record", "Record", width=110),
                text_column("reaction", "If it fails", width=290),
            ),
            lambda: Check(text=""),
            "Every check needs a limit and a reaction plan.",
        ),
        DetailTable(
            "cautions",
            "Cautions",
            (_hazard_column(), text_column("text", "Own words", width="large")),
            lambda: Caution(hazard=Hazard.SHARP),
            "Leave the words empty to print the usual caution of the hazard.",
        ),
    )


def list_column(name: str, label: str, **more: Any) -> Column:
    """Return a column for several names, parted by semicolons."""
    return Column(
        label,
        show=lambda record: join_list(getattr(record, name)),
        put=lambda record, text: replace(
            record, **{name: tuple(dict.fromkeys(split_list(text, r"[,]+")))}
        ),
        **more,
    )


def lag_table(product: Product) -> DetailTable:
    """Return the table of the times that must pass between tasks."""
    numbers = ["", *dict.fromkeys(task.number for task in product.tasks)]
    return DetailTable(
        "lags",
        "Times between tasks",
        (
            choice_column("before", "From the end of task", numbers, width=170),
            choice_column("after", "To the start of task", numbers, width=170),
            time_column("shortest_ms", "At least", product.time_unit, width=130),
            time_column("longest_ms", "At most", product.time_unit, width=130),
        ),
        lambda: TimeLag(before="", after=""),
        "Adhesive that cures or solder that cools needs a shortest time; what must not dry, a "
        "longest.",
    )


def station_table(line: Line) -> DetailTable:
    """Return the table of what is special about single stations of a line."""
    numbers = [station.number for station in line.stations]
    return DetailTable(
        "stations",
        f"Stations of line {line.name}",
        (
            number_column("number", "Station", kind=Kind.WHOLE, empty=1, lowest=1, width=90),
            number_column("operators", "Operators", kind=Kind.WHOLE, empty=1, lowest=1, width=100),
            number_column("copies", "Copies", kind=Kind.WHOLE, empty=1, lowest=1, width=90),
            number_column("target_share", "Loaded at most (share)", kind=Kind.SHARE, width=190),
            text_column("zone", "Zone", width=140),
            list_column("equipment", "Equipment", width=280),
        ),
        lambda: StationSetting(number=max(numbers, default=0) + 1),
        "Only stations where something is special: several operators, parallel copies, a load "
        "below the station time, a zone, equipment standing there (names parted by semicolons).",
    )


EQUIPMENT_TABLE = DetailTable(
    "equipment",
    "Equipment",
    (
        text_column("name", "Machine, tester or fixture", width=280),
        number_column("quantity", "How many", kind=Kind.WHOLE, empty=1, width=110),
        number_column("mtbf_min", "Between failures (min)", width=190),
        number_column("mttr_min", "To repair (min)", width=150),
        number_column("cost", "Price of one more", width=160),
    ),
    lambda: Equipment(name=""),
    "What the plant has a limited number of. Tasks name it among their limits.",
)


def _share(name: str, label: str, *, empty: float) -> Column:
    """Return a column for a share."""
    return number_column(name, label, kind=Kind.SHARE, empty=empty, width=140)


def _hazard_column() -> Column:
    """Return the column that chooses a hazard by its title."""
    by_title = {advice.title: hazard for hazard, advice in HAZARD_ADVICE.items()}

    def put(caution: Caution, text: str) -> Caution:
        if text not in by_title:
            raise ValueError("Choose a hazard of the list.")
        return replace(caution, hazard=by_title[text])

    return Column(
        "Hazard",
        show=lambda caution: HAZARD_ADVICE[caution.hazard].title,
        put=put,
        options=list(by_title),
        width="medium",
    )


def line_table(product: Product) -> DetailTable:
    """Return the table of a product's lines."""
    return DetailTable(
        "lines",
        "Lines",
        (
            text_column("name", "Line", width=110),
            text_column("title", "In full words", width=170),
            text_column("feeds", "Feeds line", width=110, help="Empty: the main line."),
            text_column("join", "At task", width=90, help="The task that consumes the unit."),
            number_column("quantity", "Quantity per set", empty=1, width=150),
            _share("yield_share", "Yield (share)", empty=1),
            number_column(
                "replacement_share", "Replaced (share)", kind=Kind.SHARE, empty=0, width=150
            ),
            number_column("copies", "Copies", kind=Kind.WHOLE, empty=1, lowest=1, width=85),
            time_column("repositioning_ms", "Repositioning", product.time_unit, empty=0, width=160),
        ),
        lambda: Line(name=""),
        "The main line feeds no other. A feeder's unit is consumed by one task of the line it "
        "feeds.",
    )


MODEL_TABLE = DetailTable(
    "models",
    "Models",
    (
        text_column("name", "Model", width="small"),
        text_column("title", "In full words", width="large"),
        _share("share", "Share", empty=0),
    ),
    lambda: Model(name="", share=0),
    "Only for a mix of models; the shares add up to 1.",
)

SHIFT_TABLE = DetailTable(
    "shifts",
    "Shifts",
    (
        text_column("name", "Shift", width="small"),
        clock_column("start", "Start"),
        clock_column("end", "End"),
    ),
    lambda: Shift(name="", start="06:00", end="14:00"),
    "Clock times like 06:00. An end before the start lies on the next day.",
)

PART_TABLE = DetailTable(
    "parts",
    "Parts list",
    (
        text_column("number", "Part", width="small"),
        text_column("name", "Name", width="large"),
        number_column("quantity", "Quantity per product", width="small"),
        text_column("unit", "Unit", width="small"),
        text_column("container", "Container", width="small"),
        number_column("container_quantity", "In a container", width="small"),
    ),
    lambda: Part(number=""),
    "The quantity in one product; the tasks together should use exactly that.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftBreak:
    """A break together with the name of its shift: one row of the table of breaks."""

    shift: str
    name: str = ""
    minutes: float = 0.0


def break_table(shifts: tuple[Shift, ...]) -> DetailTable:
    """Return the table of the breaks of all shifts."""
    names = [shift.name for shift in shifts]
    return DetailTable(
        "breaks",
        "Breaks and planned stops",
        (
            choice_column("shift", "Shift", names, width="small"),
            text_column("name", "Break or planned stop", width="medium"),
            number_column("minutes", "Minutes", empty=0, width="small"),
        ),
        lambda: ShiftBreak(shift=names[0] if names else ""),
        "Breaks, meetings, clean-down, planned service.",
    )


def breaks_of(shifts: tuple[Shift, ...]) -> tuple[ShiftBreak, ...]:
    """Return the breaks of all shifts as rows."""
    return tuple(
        ShiftBreak(shift=shift.name, name=b.name, minutes=b.minutes)
        for shift in shifts
        for b in shift.breaks
    )


def with_breaks(shifts: tuple[Shift, ...], rows: tuple[ShiftBreak, ...]) -> tuple[Shift, ...]:
    """Return the shifts with the breaks that rows give them.

    Of shifts that share a name the first gets the breaks, so that none counts twice.
    """
    left = list(rows)
    changed = []
    for shift in shifts:
        own = [row for row in left if row.shift == shift.name]
        left = [row for row in left if row.shift != shift.name]
        breaks = tuple(Break(name=row.name, minutes=row.minutes) for row in own)
        changed.append(replace(shift, breaks=breaks))
    return tuple(changed)
