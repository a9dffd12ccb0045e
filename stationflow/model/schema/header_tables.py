"""The tables about the whole product: header, calendar, demand, lines, parts, equipment."""

from stationflow.model import (
    Break,
    Calendar,
    Conveyor,
    Demand,
    Equipment,
    Line,
    LineForm,
    Model,
    Part,
    Period,
    Picture,
    Product,
    ReachOptions,
    Shift,
    StationSetting,
    TimeLag,
    Weekday,
)
from stationflow.model.schema.columns import A_SHARE, ABOVE_ZERO, SOME, Column, Kind, Shown, Table
from stationflow.model.size_limits import MOST_ALIKE, MOST_STATIONS, MOST_WAITING
from stationflow.model.unread import Use
from stationflow.units import TimeUnit

WORK_AND_PACE = (Use.WORK, Use.PACE)
FLOW = (Use.FLOW,)
OUTPUT = (Use.OUTPUT,)
OF_SHIFTS = (Use.PACE, Use.LIFTING)  # how long somebody lifts without a rest
ON_LINE_PAGE = "flow"
"""The part of a table that is edited where the whole line is looked at."""

# A line or two for each column, as in a table: the formatter would make seven of them.
# fmt: off

PRODUCT = Table(
    name="product", title="Product", record=Product, path="", is_single=True, in_toml=True,
    about="One row: what is built.",
    columns=(
        Column("code", Kind.KEY, "The product code.", uses=(Use.CARDS,)),
        Column("name", Kind.TEXT, "What the product is called.", uses=(Use.CARDS,)),
        Column("author", Kind.TEXT, "Who plans it.", said="planned by", uses=(Use.CARDS,)),
        Column("remarks", Kind.TEXT, uses=()),
        Column("time_unit", Kind.CHOICE, "Unit in which times are shown.", words=TimeUnit,
               said="unit of times", uses=()),
    ),
)

CALENDAR = Table(
    name="calendar", title="Calendar", record=Calendar, path="calendar", is_single=True,
    in_toml=True, uses=(Use.PACE,),
    about="One row: the days that are worked.",
    columns=(
        Column("days", Kind.DAYS, '"mon; tue; wed", or "none".', words=Weekday,
               said="working days"),
    ),
)

DEMAND = Table(
    name="demand", title="Demand", record=Demand, path="demand", is_single=True, in_toml=True,
    uses=(Use.PACE,),
    about="One row: how many good units are wanted.",
    columns=(
        Column("quantity", Kind.NUMBER, "Good units wanted in the period.",
               said="good units wanted", form=Shown("Good units wanted")),
        Column("period", Kind.CHOICE, words=Period, said="period of the demand",
               form=Shown("in each", at=(1, 0))),
        Column("yield_share", Kind.SHARE, "Share of started units that become good: 0.95 for 95 %.",
               form=Shown("Yield (share)",
                          help="Share of the started units that become good in the end: 0.98 for "
                          "98 %.", at=(0, 1))),
        Column("availability", Kind.SHARE, "Share of working time the line runs: 0.95 for 95 %.",
               form=Shown("Availability (share)",
                          help="Share of the working time the line really runs; planned stops "
                          "belong to the shifts.", at=(1, 1))),
    ),
)

REACH = Table(
    name="reach", title="Reach", record=ReachOptions, path="reach", is_single=True, in_toml=True,
    uses=(Use.REACH,),
    about="One row: what may be done when demand outgrows the line.",
    columns=(
        Column("overtime_limit_h", Kind.NUMBER, "Overtime hours a week allowed at most.", "h",
               form=Shown("Overtime allowed by law and agreement (h a week)")),
        Column("overtime_cost", Kind.NUMBER, "Cost of one overtime hour of the line.",
               form=Shown("Cost of one overtime hour of the line")),
        Column("shift_cost", Kind.NUMBER, "Cost of one further shift, a week.",
               form=Shown("Cost of a further shift a week")),
        Column("line_cost", Kind.NUMBER, "Cost of one further line, a week.",
               form=Shown("Cost of a further copy of the line a week")),
    ),
)

SHIFTS = Table(
    name="shifts", title="Shifts", record=Shift, path="calendar.shifts", keys=("name",),
    in_toml=True, uses=OF_SHIFTS, said="shift", heading="Shifts",
    about="The shifts, by the clock on the wall.",
    help="Clock times like 06:00. An end before the start lies on the next day.",
    columns=(
        Column("name", Kind.KEY, is_required=True, grid=Shown("Shift", "small")),
        Column("start", Kind.CLOCK, '"06:00".', is_required=True, empty="06:00",
               grid=Shown("Start", "small")),
        Column("end", Kind.CLOCK, '"14:30".', is_required=True, empty="14:00",
               grid=Shown("End", "small")),
    ),
)

BREAKS = Table(
    name="breaks", title="Breaks", record=Break, path="calendar.shifts.breaks", parent="shift",
    keys=("name",), in_toml=True, uses=OF_SHIFTS, said="break",
    heading="Breaks and planned stops",
    about="Breaks and planned stops within the shifts.",
    help="Breaks, meetings, clean-down, planned service.",
    columns=(
        Column("shift", Kind.KEY, "Name of the shift it belongs to.", is_required=True,
               grid=Shown("Shift", "small", is_chosen=True)),
        Column("name", Kind.TEXT, uses=(), grid=Shown("Break or planned stop", "medium")),
        Column("minutes", Kind.NUMBER, "Length in min.", is_required=True,
               grid=Shown("Minutes", "small")),
    ),
)

LINES = Table(
    name="lines", title="Lines", record=Line, path="lines", keys=("name",), in_toml=True,
    said="line", heading="Lines",
    about="The main line and the feeders that join it.",
    help="The main line feeds no other. A feeder's unit is consumed by one task of the line it "
    "feeds. Further to the right: pitch, turning the unit over, working heights, lifting.",
    columns=(
        Column("name", Kind.KEY, "Short name.", is_required=True, empty="", uses=WORK_AND_PACE,
               grid=Shown("Line", 110, is_pinned=True)),
        Column("title", Kind.TEXT, "The line in full words.", uses=(Use.CARDS,),
               grid=Shown("In full words", 170)),
        Column("feeds", Kind.KEY, "Name of the line it feeds; empty for the main line.",
               said="feeds line", uses=WORK_AND_PACE,
               grid=Shown("Feeds line", 110, "Empty: the main line.")),
        Column("join", Kind.KEY, "Number of the task that takes the feeder's unit in.",
               said="at task", uses=(Use.WORK,),
               grid=Shown("At task", 90, "The task that consumes the unit.")),
        Column("quantity", Kind.NUMBER, "Units of this line in one unit of the fed line.",
               uses=(Use.PACE,), grid=Shown("Quantity per set", 150)),
        Column("yield_share", Kind.SHARE, A_SHARE, uses=(Use.PACE,),
               grid=Shown("Yield (share)", 140)),
        Column("replacement_share", Kind.SHARE,
               "Extra units that replace damaged ones: 0.02 for 2 %.",
               uses=(Use.PACE,), grid=Shown("Replaced (share)", 150)),
        Column("copies", Kind.WHOLE, "Identical copies of the line.", lowest=1,
               highest=MOST_ALIKE, uses=(Use.PACE,), grid=Shown("Copies", 85)),
        Column("repositioning_s", Kind.TIME, "Time of each cycle lost to moving the unit.", "s",
               uses=(Use.PACE,), grid=Shown("Repositioning", 160)),
        Column("form", Kind.CHOICE, words=LineForm, uses=(Use.WORK,)),
        Column("pitch_m", Kind.NUMBER, "Conveyor pitch.", "m", uses=(Use.WORK, Use.FLOW),
               zero=ABOVE_ZERO, grid=Shown("Pitch", 110, "Room of a station along the line, "
                                           "where none is entered for it.")),
        Column("turn_s", Kind.TIME, "Time to turn a unit over.", "s", uses=(Use.WORK,),
               said="time to turn a unit over",
               grid=Shown("Turn over", 130, "Lost at a station for every further way the unit "
                          "lies there.")),
        Column("height_range_mm", Kind.NUMBER, "How far working heights of a station may differ.",
               "mm", uses=(Use.WORK,), said="difference of working heights at a station",
               grid=Shown("Heights apart", 160, "How far the working heights of the tasks of a "
                          "station may be apart; empty: tables are set for each task.")),
        Column("lift_kg", Kind.NUMBER, "Most that one person lifts at once.", "kg",
               uses=(Use.WORK,), said="mass of one lift",
               grid=Shown("One lift", 110, "Most that one person lifts at once.")),
        Column("lifts_per_min", Kind.NUMBER, "Most lifts a minute.", uses=(Use.WORK,),
               said="lifts a minute", grid=Shown("Lifts a minute", 130)),
        Column("lifted_kg_per_min", Kind.NUMBER, "Most mass lifted in a minute (kg).",
               uses=(Use.WORK,), said="kilograms lifted a minute",
               grid=Shown("kg lifted a minute", 160)),
        Column("buffer_places", Kind.WHOLE, "Waiting places before the line it feeds.", uses=FLOW,
               highest=MOST_WAITING, grid=Shown("Places before the join", 170, part=ON_LINE_PAGE,
               help="For finished units of a feeder that wait for the line it feeds.")),
        Column("conveyor", Kind.CHOICE, "How units move along it.", words=Conveyor, uses=FLOW,
               titles={Conveyor.INDEXED: "indexed: all step together",
                       Conveyor.CONTINUOUS: "moving, unit fixed",
                       Conveyor.REMOVABLE: "moving, unit taken off",
                       Conveyor.HAND: "passed on by hand"},
               empty=Conveyor.INDEXED, grid=Shown("Conveyor", 190, part=ON_LINE_PAGE)),
        Column("between_places", Kind.WHOLE, "Waiting places between neighbouring stations.",
               highest=MOST_WAITING, uses=FLOW, said="places between stations",
               grid=Shown("Places between", 140, "For waiting units between neighbouring stations; "
                          "beside the line where units are taken off it; none where all move at "
                          "once.", part=ON_LINE_PAGE)),
        Column("hall_m", Kind.NUMBER, "Room there is for the line, along it.", "m", uses=FLOW,
               zero=ABOVE_ZERO, said="room in the hall", grid=Shown("Room in the hall", 150,
               "Length the line may have; empty: not limited.", part=ON_LINE_PAGE)),
        Column("speed_limit_m_per_min", Kind.NUMBER, "Highest speed of the conveyor, m/min.",
               zero=ABOVE_ZERO, uses=FLOW, said="highest speed (m/min)",
               grid=Shown("Speed at most (m/min)", 170, part=ON_LINE_PAGE)),
        Column("carriers", Kind.WHOLE, "Travelling jigs there are; empty: not counted.",
               zero=SOME, highest=MOST_WAITING, uses=FLOW, grid=Shown("Carriers", 100,
               "Travelling jigs there are; empty: not counted.", part=ON_LINE_PAGE)),
        Column("carrier_return_s", Kind.TIME, "Way of an empty carrier back to the start.", "s",
               uses=FLOW, said="way back of a carrier",
               grid=Shown("Carrier back", 140, "Time of an empty carrier back to the start of the "
                          "line.", part=ON_LINE_PAGE)),
        Column("transport_s", Kind.TIME, "From its end to the join.", "s", uses=FLOW,
               said="way to the join", grid=Shown("Way to the join", 150, part=ON_LINE_PAGE)),
        Column("bought_in", Kind.YES_NO, "Whether its units are bought: it has no tasks.",
               uses=(Use.WORK, Use.FLOW), grid=Shown("Bought in", 100,
               "A feeder whose units are bought: it has no stations and no tasks.",
               part=ON_LINE_PAGE)),
    ),
)

MODELS = Table(
    name="models", title="Models", record=Model, path="models", keys=("name",), in_toml=True,
    uses=(Use.WORK,),
    said="model", heading="Models",
    about="The models of the mix; leave it empty when there is one model only.",
    help="Only for a mix of models; the shares add up to 1.",
    columns=(
        Column("name", Kind.KEY, is_required=True, grid=Shown("Model", "small")),
        Column("title", Kind.TEXT, uses=(Use.CARDS,), grid=Shown("In full words", "large")),
        Column("share", Kind.SHARE, "Share of the units built.", empty=0, grid=Shown("Share", 140)),
    ),
)

PARTS = Table(
    name="parts", title="Parts", record=Part, path="parts", keys=("number",), said="part",
    uses=(Use.CARDS,), heading="Parts list",
    about="The parts list of one product.",
    help="The quantity in one product; the tasks together should use exactly that.",
    columns=(
        Column("number", Kind.KEY, is_required=True, grid=Shown("Part", 95)),
        Column("name", Kind.TEXT, grid=Shown("Name", 235)),
        Column("quantity", Kind.NUMBER, "Quantity in one product.",
               grid=Shown("Quantity per product", 180)),
        Column("unit", Kind.TEXT, '"pcs", "m", "g".', grid=Shown("Unit", 80)),
        Column("container", Kind.TEXT, "Code of its container.", grid=Shown("Container", 150)),
        Column("container_quantity", Kind.NUMBER, "Quantity in a full container.",
               grid=Shown("In a container", 140)),
        Column("weight_g", Kind.NUMBER, "Mass of one.", "g"),
        Column("present_share", Kind.SHARE, "Share of the units for which it is there in time.",
               uses=OUTPUT, said="there in time (share)",
               grid=Shown("There in time (share)", 185,
                          "Share of the units for which the part is there in time: 0.999 for one "
                          "unit in 1000 without it.")),
        Column("shortage_min", Kind.NUMBER, "Mean time the line waits when it is not.", "min",
               uses=OUTPUT, said="waiting for it (min)",
               grid=Shown("Line waits", 140, "Mean time the line waits for the part when it is not "
                          "there.")),
    ),
)

STATIONS = Table(
    name="stations", title="Stations", record=StationSetting, path="lines.stations", parent="line",
    keys=("number",), uses=(Use.WORK,), said="station", heading="Stations",
    about="What is special about single stations.",
    help="Only stations where something is special: several operators, parallel copies, a load "
    "below the station time, a zone, equipment that stands there, may or may not (names parted by "
    "semicolons). Further to the right: skills, width at the line, protection.",
    columns=(
        Column("line", Kind.KEY, is_required=True),
        Column("number", Kind.WHOLE, "From 1.", is_required=True, lowest=1, highest=MOST_STATIONS,
               grid=Shown("Station", 90, is_pinned=True)),
        Column("operators", Kind.WHOLE, highest=MOST_ALIKE, grid=Shown("Operators", 100)),
        Column("copies", Kind.WHOLE, lowest=1, highest=MOST_ALIKE, grid=Shown("Copies", 90)),
        Column("target_share", Kind.SHARE, "Share of the station time that may be loaded.",
               grid=Shown("Loaded at most (share)", 190)),
        Column("zone", Kind.KEY, grid=Shown("Zone", 140)),
        Column("equipment", Kind.NAMES, "What stands there.", grid=Shown("Equipment", 200)),
        Column("equipment_possible", Kind.NAMES, "What may be brought there, at its price.",
               said="equipment it may get",
               grid=Shown("May get", 150, "Equipment that may be brought there, at its price.")),
        Column("equipment_barred", Kind.NAMES, "What may not stand there.",
               said="equipment it may not get",
               grid=Shown("May not get", 150, "Equipment that may not stand there.")),
        Column("skills", Kind.NAMES, "Skills and certificates of its operator.",
               grid=Shown("Skills", 150, "Skills and certificates of the operator there.")),
        Column("width_mm", Kind.NUMBER, "Room for parts; empty: the pitch of the line.", "mm",
               said="width at the line", grid=Shown("Width", 110,
               "Room for parts at the line; empty: the pitch of the line.")),
        Column("static_safe", Kind.YES_NO, "A static-protected area.",
               said="static-protected area", grid=Shown("Static-protected", 140)),
        Column("guarded", Kind.YES_NO, "Has a high-voltage guard.", said="high-voltage guard",
               grid=Shown("Guarded", 100)),
        Column("length_m", Kind.NUMBER, "Along the line; empty: the pitch of the line.", "m",
               zero=ABOVE_ZERO, uses=FLOW, said="length along the line", grid=Shown("Length", 110,
               "Along the line; empty: the pitch of the line.", part=ON_LINE_PAGE)),
        Column("places_after", Kind.WHOLE, "Waiting places behind it; empty: as the line says.",
               highest=MOST_WAITING, uses=FLOW, said="places behind it",
               grid=Shown("Places behind", 130, "For waiting units behind the station; empty: as "
                          "the line says.", part=ON_LINE_PAGE)),
        Column("mtbf_min", Kind.NUMBER, "Its own stops: mean running time between them.", "min",
               uses=OUTPUT, said="running time between failures (min)",
               grid=Shown("Between stops", 150, "Mean running time between stops of its own; those "
                          "of its equipment and machines come on top.", part=ON_LINE_PAGE)),
        Column("mttr_min", Kind.NUMBER, "Mean time to end a stop.", "min", uses=OUTPUT,
               said="time to repair (min)",
               grid=Shown("To end a stop", 140, part=ON_LINE_PAGE)),
    ),
)

EQUIPMENT = Table(
    name="equipment", title="Equipment", record=Equipment, path="equipment", keys=("name",),
    uses=(Use.WORK,),
    said="equipment", heading="Equipment",
    about="Machines, testers and fixtures the plant has.",
    help="What the plant has a limited number of. Tasks name it among their limits.",
    columns=(
        Column("name", Kind.KEY, is_required=True, grid=Shown("Machine, tester or fixture", 280)),
        Column("quantity", Kind.WHOLE, grid=Shown("How many", 110)),
        Column("mtbf_min", Kind.NUMBER, "Mean running time between failures.", "min",
               said="running time between failures (min)", uses=FLOW,
               grid=Shown("Between failures", 190)),
        Column("mttr_min", Kind.NUMBER, "Mean time to repair.", "min", said="time to repair (min)",
               uses=FLOW, grid=Shown("To repair", 150)),
        Column("cost", Kind.NUMBER, "Price of one more.", uses=(Use.PRICES,),
               grid=Shown("Price of one more", 160)),
        Column("shared", Kind.YES_NO, "Whether one does for two stations next to each other.",
               said="shared by two stations", grid=Shown("For two stations", 140,
               "One does for two stations next to each other.")),
    ),
)

LAGS = Table(
    name="lags", title="Lags", record=TimeLag, path="lags", keys=("before", "after"),
    uses=(Use.WORK,),
    said="time between tasks", heading="Times between tasks",
    about="Shortest or longest times between tasks, for example for curing.",
    help="Adhesive that cures or solder that cools needs a shortest time; what must not dry, a "
    "longest.",
    columns=(
        Column("before", Kind.KEY, is_required=True,
               grid=Shown("From the end of task", 170, is_chosen=True)),
        Column("after", Kind.KEY, is_required=True,
               grid=Shown("To the start of task", 170, is_chosen=True)),
        Column("shortest_s", Kind.TIME, "", "s", grid=Shown("At least", 130)),
        Column("longest_s", Kind.TIME, "", "s", grid=Shown("At most", 130)),
        Column("least_stations", Kind.WHOLE, "How many stations after, at least.",
               said="stations between at least", grid=Shown("Stations after, at least", 180)),
        Column("most_stations", Kind.WHOLE, "How many stations after, at most.",
               said="stations between at most", grid=Shown("Stations after, at most", 180)),
    ),
)

PICTURES = Table(
    name="pictures", title="Pictures", record=Picture, path="pictures", keys=("name",), uses=(),
    said="picture",
    about="The pictures, in the order they are shown.",
    columns=(
        Column("name", Kind.KEY, "File name.", is_required=True),
    ),
)
