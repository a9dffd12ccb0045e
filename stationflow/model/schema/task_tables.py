"""The tables about the tasks."""

from stationflow.model import (
    HAZARD_ADVICE,
    Caution,
    Check,
    Hazard,
    ModelTime,
    PartUse,
    QualityKind,
    QualityStep,
    Side,
    Step,
    Task,
    TaskLimits,
    ToolUse,
)
from stationflow.model.schema.columns import (
    Shown,
    Table,
    choice_column,
    key_column,
    keys_column,
    names_column,
    needed_column,
    number_column,
    picture_column,
    share_column,
    text_column,
    time_column,
    whole_column,
    yes_no_column,
)

TASK = needed_column("task", "Number of the task it belongs to.")

TASK_TABLES: tuple[Table, ...] = (
    Table(
        name="tasks",
        title="Tasks",
        record=Task,
        about="The work, in small pieces that are not split between stations.",
        path="tasks",
        keys=("number",),
        said="task",
        columns=(
            needed_column(
                "number",
                "Tells tasks apart; leading zeros count.",
                grid=Shown("Number", 92, is_pinned=True),
            ),
            text_column("name", "What is done, verb first.", grid=Shown("Task", 270)),
            key_column(
                "line",
                "Name of the line; empty for the main line.",
                grid=Shown("Line", 75, is_chosen=True),
            ),
            time_column("time_s", "Standard time.", grid=Shown("Time", 85)),
            keys_column(
                "predecessors",
                'Numbers of the tasks before it: "10; 20".',
                said="after",
                grid=Shown(
                    "After",
                    95,
                    "Numbers of the tasks that must be finished before: 10, 20-40. A range means "
                    "all tasks listed from 20 to 40.",
                ),
            ),
            yes_no_column(
                "machine",
                "Whether the time is a machine's.",
                form=Shown("Machine time", 1, "The time is a machine's.", at=(3, 0)),
            ),
            time_column(
                "time_sd_s",
                "Standard deviation of the time.",
                said="standard deviation of the time",
                form=Shown("Deviation", 1, "Standard deviation of the time; empty: not known."),
            ),
            text_column(
                "time_source",
                "Where the time comes from, with date.",
                form=Shown("Where the time comes from, with date", 3, at=(1, 0)),
            ),
            picture_column(
                "A file in the pictures folder, or a name on the Pictures sheet.",
                form=Shown("Picture of the whole task", 2, is_chosen=True, at=(2, 0)),
            ),
        ),
    ),
    Table(
        name="steps",
        title="Steps",
        record=Step,
        about="Important steps of the tasks, as they stand on the station card.",
        path="tasks.steps",
        parent="task",
        said="important steps",
        heading="Important steps",
        help="What advances the work, verb first; the key point that makes or breaks it; and why. "
        "Leave times empty, or let them add up to the task's time.",
        columns=(
            TASK,
            text_column("text", "What is done, verb first.", grid=Shown("Important step", 370)),
            text_column(
                "key_point", "What makes or breaks the work.", grid=Shown("Key point", 260)
            ),
            text_column("reason", "Why the key point matters.", grid=Shown("Reason", 270)),
            picture_column("Picture of the step.", grid=Shown("Picture", 120, is_chosen=True)),
            time_column("time_s", "Time of the step; empty: untimed.", grid=Shown("Time", 95)),
        ),
    ),
    Table(
        name="part_uses",
        title="Part uses",
        record=PartUse,
        about="Which task fits which part.",
        path="tasks.parts",
        parent="task",
        keys=("part",),
        said="part",
        heading="Parts",
        help="Parts this task fits, chosen from the parts list of the product.",
        columns=(
            TASK,
            needed_column("part", "Part number.", grid=Shown("Part", "medium", is_chosen=True)),
            number_column("quantity", "How many the task fits.", grid=Shown("Quantity", "small")),
        ),
    ),
    Table(
        name="tools",
        title="Tools",
        record=ToolUse,
        about="Tools, jigs and gauges of the tasks, and how they are set.",
        path="tasks.tools",
        parent="task",
        said="tools",
        heading="Tools",
        help="With the setting and its unit, for example 1.2 N m.",
        columns=(
            TASK,
            needed_column("tool", grid=Shown("Tool, jig or gauge", "large")),
            text_column("setting", grid=Shown("Setting", "medium")),
        ),
    ),
    Table(
        name="checks",
        title="Checks",
        record=Check,
        about="Checks within the tasks.",
        path="tasks.checks",
        parent="task",
        said="checks",
        heading="Checks",
        help="Every check needs a limit and a reaction plan.",
        columns=(
            TASK,
            text_column("text", "What is checked.", grid=Shown("Check", 250)),
            text_column("limit", "What is accepted, with unit.", grid=Shown("Limit", 180)),
            text_column("method", "How, and with which gauge.", grid=Shown("Method", 180)),
            text_column(
                "frequency", 'How often; empty: "every unit".', grid=Shown("Frequency", 120)
            ),
            text_column("record", "Where the result is written.", grid=Shown("Record", 110)),
            text_column(
                "reaction",
                "What the operator does when the check fails.",
                grid=Shown("If it fails", 290),
            ),
        ),
    ),
    Table(
        name="cautions",
        title="Cautions",
        record=Caution,
        about="Hazards of the tasks.",
        path="tasks.cautions",
        parent="task",
        said="cautions",
        heading="Cautions",
        help="Leave the words empty to print the usual caution of the hazard.",
        columns=(
            TASK,
            choice_column(
                "hazard",
                Hazard,
                is_required=True,
                titles={hazard: advice.title for hazard, advice in HAZARD_ADVICE.items()},
                empty=Hazard.SHARP,
                grid=Shown("Hazard", "medium"),
            ),
            text_column(
                "text", "Own words; empty: the usual ones.", grid=Shown("Own words", "large")
            ),
        ),
    ),
    Table(
        name="model_times",
        title="Model times",
        record=ModelTime,
        about="Times that differ from the task's time for one model; 0: not needed.",
        path="tasks.model_times",
        parent="task",
        keys=("model",),
        said="model",
        columns=(TASK, needed_column("model"), time_column("time_s", is_required=True)),
    ),
    Table(
        name="limits",
        title="Limits",
        record=TaskLimits,
        about="Where and how a task may be done, beyond precedence.",
        path="tasks.limits",
        parent="task",
        is_single=True,
        columns=(
            TASK,
            whole_column(
                "station",
                "The only station allowed.",
                1,
                said="fixed station",
                form=Shown("Only at station"),
            ),
            whole_column(
                "earliest_station",
                "The first station allowed.",
                1,
                form=Shown("Not before station"),
            ),
            whole_column(
                "latest_station",
                "The last station allowed.",
                1,
                form=Shown("Not after station"),
            ),
            key_column("zone", form=Shown("Zone", at=(0, 1))),
            key_column(
                "together",
                "Tasks with one label share a station.",
                said="kept together",
                form=Shown("Together: label of a group that shares a station", at=(1, 0)),
            ),
            keys_column(
                "apart",
                "Tasks that must not be at the same station.",
                said="kept apart from",
                form=Shown("Not at the same station as", at=(1, 1)),
            ),
            names_column(
                "equipment",
                "What the station must have.",
                said="equipment needed",
                form=Shown("Needs equipment", at=(0, 3)),
            ),
            choice_column(
                "side", Side, said="side of the line", form=Shown("Side of the line", at=(0, 2))
            ),
            text_column(
                "attitude",
                'How the unit lies: "face down".',
                said="how the unit lies",
                form=Shown("How the unit lies", at=(2, 0)),
            ),
            number_column(
                "working_height_mm",
                "Working point above the floor.",
                "mm",
                form=Shown("Working height", at=(2, 1)),
            ),
            number_column(
                "space_mm",
                "Width the parts need at the line.",
                "mm",
                said="width at the line",
                form=Shown("Width at the line", at=(2, 2)),
            ),
            number_column(
                "lift_kg",
                "Mass lifted by hand.",
                "kg",
                said="mass lifted",
                form=Shown("Lifted by hand", at=(2, 3)),
            ),
            key_column("skill", form=Shown("Skill or certificate", at=(1, 3))),
            yes_no_column(
                "static_safe",
                "In a static-protected area.",
                said="static-protected area",
                form=Shown("Static-protected area", at=(3, 2)),
            ),
            yes_no_column(
                "guarded",
                "Behind a high-voltage guard.",
                said="high-voltage guard",
                form=Shown("High-voltage guard", at=(3, 3)),
            ),
            keys_column(
                "independent_of",
                "Tasks whose operator may not do this one.",
                said="other operator than",
                form=Shown(
                    "Other operator than",
                    help="Tasks whose operator may not do this one: a check of their work.",
                    at=(1, 2),
                ),
            ),
            yes_no_column(
                "while_moving",
                "While the unit moves.",
                said="work while the unit moves",
                form=Shown("While the unit moves", at=(3, 0)),
            ),
            yes_no_column(
                "crossing",
                "May cross the limit of the station.",
                said="crossing the limit of a station",
                form=Shown("May cross the limit of the station", at=(3, 1)),
            ),
        ),
    ),
    Table(
        name="quality",
        title="Quality",
        record=QualityStep,
        about="Test, repair and soak data of the tasks.",
        path="tasks.quality",
        parent="task",
        is_single=True,
        columns=(
            TASK,
            choice_column(
                "kind",
                QualityKind,
                is_required=True,
                titles={kind: kind.replace("-", " ") for kind in QualityKind},
            ),
            time_column(
                "process_s",
                "Test or soak time without an operator.",
                form=Shown(
                    "Time without operator",
                    help="Time the unit is tested or soaked without an operator.",
                ),
            ),
            share_column(
                "first_pass_share", form=Shown("Passed the first time (share)", at=(0, 1))
            ),
            share_column("repeat_pass_share", form=Shown("Passed after repair (share)", at=(1, 1))),
            share_column("scrap_share", form=Shown("Scrapped rejects (share)", at=(2, 1))),
            time_column(
                "repair_s",
                "Mean repair time of one reject.",
                form=Shown("Repair time of a reject", at=(1, 0)),
            ),
            whole_column(
                "positions",
                "Places available.",
                form=Shown("Places", help="Empty: to be computed.", at=(2, 0)),
            ),
            number_column(
                "power_w", "Power of one place.", "W", form=Shown("Power of one place", at=(3, 0))
            ),
        ),
    ),
)
