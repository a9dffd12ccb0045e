"""The tables about the tasks."""

from stationflow.model import (
    HAZARD_ADVICE,
    Caution,
    Check,
    Coupling,
    Hazard,
    Lift,
    LiftDuration,
    LiftOutside,
    ModelTime,
    PartUse,
    QualityKind,
    QualityStep,
    Reentry,
    SampleLevel,
    Side,
    StationTime,
    Step,
    Task,
    TaskLimits,
    ToolUse,
)
from stationflow.model.schema.columns import A_SHARE, ABOVE_ZERO, SOME, Column, Kind, Shown, Table
from stationflow.model.size_limits import MOST_ALIKE, MOST_STATIONS, MOST_WAITING
from stationflow.model.unread import Use

# A line or two for each column, as in a table: the formatter would make seven of them.
# fmt: off

TASK = Column("task", Kind.KEY, "Number of the task it belongs to.", is_required=True)

TASKS = Table(
    name="tasks", title="Tasks", record=Task, path="tasks", keys=("number",), said="task",
    uses=(Use.WORK,),
    about="The work, in small pieces that are not split between stations.",
    columns=(
        Column("number", Kind.KEY, "Tells tasks apart; leading zeros count.", is_required=True,
               grid=Shown("Number", 92, is_pinned=True)),
        Column("name", Kind.TEXT, "What is done, verb first.", uses=(Use.CARDS,),
               grid=Shown("Task", 270)),
        Column("line", Kind.KEY, "Name of the line; empty for the main line.",
               grid=Shown("Line", 75, is_chosen=True)),
        Column("time_s", Kind.TIME, "Standard time.", "s", uses=(Use.WORK, Use.LIFTING),
               grid=Shown("Time", 85)),
        Column("predecessors", Kind.KEYS, 'Numbers of the tasks before it: "10; 20".', said="after",
               grid=Shown("After", 95,
                          "Numbers of the tasks that must be finished before: 10, 20-40. A range "
                          "means all tasks listed from 20 to 40.")),
        Column("machine", Kind.YES_NO, "Whether the time is a machine's.", uses=(Use.CARDS,),
               form=Shown("Machine time", 1, "The time is a machine's.", at=(3, 0))),
        Column("time_sd_s", Kind.TIME, "Standard deviation of the time.", "s",
               said="standard deviation of the time", uses=(Use.FLOW,),
               form=Shown("Deviation", 1, "Standard deviation of the time; empty: not known.")),
        Column("time_source", Kind.TEXT, "Where the time comes from, with date.", uses=(),
               form=Shown("Where the time comes from, with date", 3, at=(1, 0))),
        Column("remark", Kind.TEXT, "What else should be known.", uses=(),
               form=Shown("Remark", 3, at=(4, 0))),
        Column("picture", Kind.PICTURE,
               "A file in the pictures folder, or a name on the Pictures sheet.", uses=(),
               form=Shown("Picture of the whole task", 2, is_chosen=True, at=(2, 0))),
        Column("other_lines", Kind.NAMES, "Lines beside its own on which it may be done too.",
               uses=(Use.JOINT,), said="may be done on",
               form=Shown("May be done on these lines too", 3,
                          help="For the joint balance of all lines.", at=(1, 1))),
    ),
)

STEPS = Table(
    name="steps", title="Steps", record=Step, path="tasks.steps", parent="task",
    uses=(Use.CARDS,),
    said="important steps", heading="Important steps",
    about="Important steps of the tasks, as they stand on the station card.",
    help="What advances the work, verb first; the key point that makes or breaks it; and why. "
    "Leave times empty, or let them add up to the task's time.",
    columns=(
        TASK,
        Column("text", Kind.TEXT, "What is done, verb first.", grid=Shown("Important step", 370)),
        Column("key_point", Kind.TEXT, "What makes or breaks the work.",
               grid=Shown("Key point", 260)),
        Column("reason", Kind.TEXT, "Why the key point matters.", grid=Shown("Reason", 270)),
        Column("picture", Kind.PICTURE, "Picture of the step.", uses=(),
               grid=Shown("Picture", 120, is_chosen=True)),
        Column("time_s", Kind.TIME, "Time of the step; empty: untimed.", "s",
               grid=Shown("Time", 95)),
    ),
)

PART_USES = Table(
    name="part_uses", title="Part uses", record=PartUse, path="tasks.parts", parent="task",
    uses=(Use.CARDS,),
    keys=("part",), said="part", heading="Parts",
    about="Which task fits which part.",
    help="Parts this task fits, chosen from the parts list of the product.",
    columns=(
        TASK,
        Column("part", Kind.KEY, "Part number.", is_required=True,
               grid=Shown("Part", "medium", is_chosen=True)),
        Column("quantity", Kind.NUMBER, "How many the task fits.", grid=Shown("Quantity", "small")),
    ),
)

TOOLS = Table(
    name="tools", title="Tools", record=ToolUse, path="tasks.tools", parent="task", said="tools",
    uses=(Use.CARDS,),
    heading="Tools",
    about="Tools, jigs and gauges of the tasks, and how they are set.",
    help="With the setting and its unit, for example 1.2 N m.",
    columns=(
        TASK,
        Column("tool", Kind.KEY, is_required=True, grid=Shown("Tool, jig or gauge", "large")),
        Column("setting", Kind.TEXT, grid=Shown("Setting", "medium")),
    ),
)

CHECKS = Table(
    name="checks", title="Checks", record=Check, path="tasks.checks", parent="task", said="checks",
    uses=(Use.CARDS,),
    heading="Checks",
    about="Checks within the tasks.",
    help="Every check needs a limit and a reaction plan.",
    columns=(
        TASK,
        Column("text", Kind.TEXT, "What is checked.", grid=Shown("Check", 250)),
        Column("limit", Kind.TEXT, "What is accepted, with unit.", grid=Shown("Limit", 180)),
        Column("method", Kind.TEXT, "How, and with which gauge.", grid=Shown("Method", 180)),
        Column("frequency", Kind.TEXT, 'How often; empty: "every unit".',
               grid=Shown("Frequency", 120)),
        Column("record", Kind.TEXT, "Where the result is written.", grid=Shown("Record", 110)),
        Column("reaction", Kind.TEXT, "What the operator does when the check fails.",
               grid=Shown("If it fails", 290)),
    ),
)

CAUTIONS = Table(
    name="cautions", title="Cautions", record=Caution, path="tasks.cautions", parent="task",
    uses=(Use.CARDS,),
    said="cautions", heading="Cautions",
    about="Hazards of the tasks.",
    help="Leave the words empty to print the usual caution of the hazard.",
    columns=(
        TASK,
        Column("hazard", Kind.CHOICE, is_required=True, words=Hazard,
               titles={hazard: advice.title for hazard, advice in HAZARD_ADVICE.items()},
               empty=Hazard.SHARP, grid=Shown("Hazard", "medium")),
        Column("text", Kind.TEXT, "Own words; empty: the usual ones.",
               grid=Shown("Own words", "large")),
    ),
)

MODEL_TIMES = Table(
    name="model_times", title="Model times", record=ModelTime, path="tasks.model_times",
    parent="task", keys=("model",), uses=(Use.WORK,), said="model",
    about="Times that differ from the task's time for one model; 0: not needed.",
    columns=(
        TASK,
        Column("model", Kind.KEY, is_required=True),
        Column("time_s", Kind.TIME, "", "s", is_required=True),
    ),
)

STATION_TIMES = Table(
    name="station_times", title="Station times", record=StationTime, path="tasks.station_times",
    parent="task", keys=("station",), uses=(Use.WORK,), said="time at station",
    heading="Times at stations",
    about="Times that differ from the task's time at one station.",
    help="Only stations where the task takes another time: a better tool, a learner. Elsewhere the "
    "task's own time counts.",
    columns=(
        TASK,
        Column("station", Kind.WHOLE, "From 1.", is_required=True, lowest=1, highest=MOST_STATIONS,
               grid=Shown("Station", 110)),
        Column("time_s", Kind.TIME, "The time there.", "s", is_required=True,
               grid=Shown("Time there", 130)),
    ),
)

LIMITS = Table(
    name="limits", title="Limits", record=TaskLimits, path="tasks.limits", parent="task",
    is_single=True, uses=(Use.WORK,),
    about="Where and how a task may be done, beyond precedence.",
    columns=(
        TASK,
        Column("station", Kind.WHOLE, "The only station allowed.", lowest=1,
               highest=MOST_STATIONS, said="fixed station", form=Shown("Only at station")),
        Column("earliest_station", Kind.WHOLE, "The first station allowed.", lowest=1,
               highest=MOST_STATIONS, form=Shown("Not before station")),
        Column("latest_station", Kind.WHOLE, "The last station allowed.", lowest=1,
               highest=MOST_STATIONS, form=Shown("Not after station")),
        Column("zone", Kind.KEY, form=Shown("Zone", at=(0, 1))),
        Column("together", Kind.KEY, "Tasks with one label share a station.", said="kept together",
               form=Shown("Together: label of a group that shares a station", at=(1, 0))),
        Column("apart", Kind.KEYS, "Tasks that must not be at the same station.",
               said="kept apart from", form=Shown("Not at the same station as", at=(1, 1))),
        Column("equipment", Kind.NAMES, "What the station must have.", said="equipment needed",
               form=Shown("Needs equipment", at=(0, 3))),
        Column("side", Kind.CHOICE, words=Side, said="side of the line",
               form=Shown("Side of the line", at=(0, 2))),
        Column("attitude", Kind.TEXT, 'How the unit lies: "face down".', said="how the unit lies",
               form=Shown("How the unit lies", at=(2, 0))),
        Column("working_height_mm", Kind.NUMBER, "Working point above the floor.", "mm",
               form=Shown("Working height", at=(2, 1))),
        Column("space_mm", Kind.NUMBER, "Width the parts need at the line.", "mm",
               said="width at the line", form=Shown("Width at the line", at=(2, 2))),
        Column("lift_kg", Kind.NUMBER, "Mass lifted by hand.", "kg", said="mass lifted",
               uses=(Use.WORK, Use.LIFTING), form=Shown("Lifted by hand", at=(2, 3))),
        Column("lifts", Kind.WHOLE, "How often in one unit; empty: once.", said="lifts in one unit",
               uses=(Use.WORK, Use.LIFTING), form=Shown("Lifts in one unit",
               help="How often it is lifted; empty: once.", at=(3, 4))),
        Column("skill", Kind.KEY, form=Shown("Skill or certificate", at=(1, 3))),
        Column("static_safe", Kind.YES_NO, "In a static-protected area.",
               said="static-protected area", form=Shown("Static-protected area", at=(3, 2))),
        Column("guarded", Kind.YES_NO, "Behind a high-voltage guard.", said="high-voltage guard",
               form=Shown("High-voltage guard", at=(3, 3))),
        Column("independent_of", Kind.KEYS, "Tasks whose operator may not do this one.",
               said="other operator than",
               form=Shown("Other operator than",
                          help="Tasks whose operator may not do this one: a check of their work.",
                          at=(1, 2))),
        Column("while_moving", Kind.YES_NO, "While the unit moves.",
               said="work while the unit moves", form=Shown("While the unit moves", at=(3, 0))),
        Column("crossing", Kind.YES_NO, "May cross the limit of the station.",
               said="crossing the limit of a station",
               form=Shown("May cross the limit of the station", at=(3, 1))),
    ),
)

QUALITY = Table(
    name="quality", title="Quality", record=QualityStep, path="tasks.quality", parent="task",
    is_single=True, uses=(Use.FLOW,),
    about="Test, repair and soak data of the tasks.",
    columns=(
        TASK,
        Column("kind", Kind.CHOICE, is_required=True, words=QualityKind,
               titles={kind: kind.replace("-", " ") for kind in QualityKind}),
        Column("process_s", Kind.TIME, "Test or soak time without an operator.", "s",
               form=Shown("Time without operator",
                          help="Time the unit is tested or soaked without an operator.")),
        Column("first_pass_share", Kind.SHARE, A_SHARE,
               form=Shown("Passed the first time (share)", at=(0, 1))),
        Column("repeat_pass_share", Kind.SHARE, A_SHARE,
               form=Shown("Passed after repair (share)", at=(1, 1))),
        Column("scrap_share", Kind.SHARE, A_SHARE,
               form=Shown("Scrapped rejects (share)", at=(2, 1))),
        Column("repair_s", Kind.TIME, "Mean repair time of one reject.", "s",
               form=Shown("Repair time of a reject", at=(1, 0))),
        Column("positions", Kind.WHOLE, "Places available.", highest=MOST_WAITING,
               zero=SOME, form=Shown("Places", help="Empty: to be computed.", at=(2, 0))),
        Column("power_w", Kind.NUMBER, "Power of one place.", "W", uses=(),
               form=Shown("Power of one place", at=(3, 0))),
        Column("repairers", Kind.WHOLE, "Who repair its rejects; empty: to be computed.",
               zero=SOME, highest=MOST_ALIKE, form=Shown("Repairers",
               help="Who repair the rejects; empty: to be computed.", at=(0, 2))),
        Column("repair_cv", Kind.NUMBER, "Standard deviation / mean of the repair time; empty: 1.",
               said="scatter of the repair time",
               form=Shown("Scatter of the repair time", help="Standard deviation divided by the "
                          "mean; empty: 1, as of times that are mostly short and sometimes long.",
                          at=(1, 2))),
        Column("reentry", Kind.CHOICE, "Where a repaired unit comes back.", words=Reentry,
               said="repaired units come back",
               form=Shown("Repaired units come back", at=(2, 2))),
        Column("empty_share", Kind.SHARE, "Places of the line left empty for repaired units.",
               said="planned empty places (share)",
               form=Shown("Planned empty places (share)", help="Share of the places of the line "
                          "that are left empty for repaired units.", at=(3, 1))),
        Column("handling_s", Kind.TIME, "To put a unit on a soak position and take it off.", "s",
               said="handling at a soak position",
               form=Shown("On and off a position", help="Time a soak position is taken for putting "
                          "a unit on and taking it off.", at=(0, 3))),
        Column("spare_positions", Kind.WHOLE, "Soak positions beyond those needed.",
               highest=MOST_WAITING, form=Shown("Spare positions", at=(1, 3))),
        Column("outage_min", Kind.NUMBER, "Longest outage of the test after it, bridged by soak.",
               "min", said="outage of the test after it",
               form=Shown("Outage to bridge", help="Longest outage of the test after the soak "
                          "that its positions must take up.", at=(2, 3))),
        Column("pitch_m", Kind.NUMBER, "Of a soak on a conveyor; empty: on racks.", "m",
               zero=ABOVE_ZERO, said="pitch of the soak conveyor",
               form=Shown("Pitch on the conveyor", help="Of a soak on a conveyor; empty: on racks.",
                          at=(3, 3))),
        Column("lot", Kind.WHOLE, "Units of a lot of which a sample is taken; empty: every unit.",
               zero=ABOVE_ZERO, said="lot for sampling",
               form=Shown("Lot for sampling", help="Units of a lot of which a sample is taken; "
                          "empty: every unit is tested.", at=(0, 4))),
        Column("sample_level", Kind.CHOICE, "Inspection level of ISO 2859-1.", words=SampleLevel,
               said="inspection level", form=Shown("Inspection level", at=(1, 4))),
        Column("aql_percent", Kind.NUMBER, "Acceptance quality limit, in percent.", highest=100,
               zero=ABOVE_ZERO, said="acceptance quality limit (%)",
               form=Shown("Acceptance quality limit (%)", at=(2, 4))),
    ),
)

HANDS = "Of the hands above the floor."

LIFTS = Table(
    name="lifts", title="Lifts", record=Lift, path="tasks.lift", parent="task",
    is_single=True, said="lift", uses=(Use.LIFTING, Use.CARDS),  # a card asks for two persons
    about="How a load is lifted with both hands; its mass stands among the limits of the task.",
    columns=(
        TASK,
        Column("from_reach_mm", Kind.NUMBER, "From between the ankles to the hands.", "mm",
               said="reach at the start",
               form=Shown("Start: reach", help="From between the ankles to the hands.")),
        Column("from_height_mm", Kind.NUMBER, HANDS, "mm", said="height at the start",
               form=Shown("Start: height of the hands", at=(0, 1))),
        Column("from_turn_deg", Kind.NUMBER, "Turn of the body; empty: straight ahead.", "deg",
               highest=180, said="turn of the body at the start",
               form=Shown("Start: turn of the body", help="Empty: straight ahead.", at=(0, 2))),
        Column("to_reach_mm", Kind.NUMBER, "From between the ankles to the hands.", "mm",
               said="reach at the end", form=Shown("End: reach", at=(1, 0))),
        Column("to_height_mm", Kind.NUMBER, HANDS, "mm", said="height at the end",
               form=Shown("End: height of the hands", at=(1, 1))),
        Column("to_turn_deg", Kind.NUMBER, "Turn of the body; empty: straight ahead.", "deg",
               highest=180, said="turn of the body at the end",
               form=Shown("End: turn of the body", at=(1, 2))),
        Column("coupling", Kind.CHOICE, "How well hands hold it; empty: poor.", words=Coupling,
               said="hold of the hands", form=Shown("Hold of the hands", at=(2, 0))),
        Column("let_go", Kind.YES_NO, "Put down without care.", said="put down without care",
               form=Shown("Put down without care: the end does not count", at=(2, 2))),
        Column("duration", Kind.CHOICE, "Up to 1, 2 or 8 h until a rest; empty: as the shifts say.",
               words=LiftDuration, said="how long somebody lifts",
               titles={None: "as the shifts say", LiftDuration.SHORT: "up to 1 h, then a rest",
                       LiftDuration.MODERATE: "up to 2 h, then a rest",
                       LiftDuration.LONG: "up to 8 h"},
               form=Shown("How long somebody lifts", at=(2, 1))),
        Column("outside", Kind.CHOICE, "What the lifting equation does not cover.",
               words=LiftOutside, said="what the equation does not cover",
               titles={None: "nothing"} | {word: word.value for word in LiftOutside},
               form=Shown("Not covered by the equation", at=(3, 0))),
    ),
)
