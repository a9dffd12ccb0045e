"""The tables of the whole line beside its lines and stations: machines, joins, faults, costs."""

from stationflow.model import (
    Costs,
    DropProcedure,
    Fault,
    FaultCount,
    FurtherJoin,
    Machine,
    MachineKind,
    PackForm,
    Packing,
)
from stationflow.model.schema.columns import A_SHARE, ABOVE_ZERO, Column, Kind, Shown, Table
from stationflow.model.size_limits import MOST_ALIKE, MOST_WAITING
from stationflow.model.unread import Use

FAULTS_FOUND = (Use.FAULTS,)

# A line or two for each column, as in a table: the formatter would make seven of them.
# fmt: off

JOINS = Table(
    name="joins", title="Further joins", record=FurtherJoin, path="joins",
    keys=("line", "feeds", "join"), uses=(Use.PACE, Use.FLOW), said="further join",
    heading="Further joins",
    about="Further places where a feeder's units are consumed, beside its own join.",
    help="For a feeder that serves several lines, or two tasks of one line. Its first join stands "
    "with the line itself.",
    columns=(
        Column("line", Kind.KEY, "Name of the feeder.", is_required=True,
               grid=Shown("Feeder", 150, is_chosen=True)),
        Column("feeds", Kind.KEY, "Name of the line that takes its units.", is_required=True,
               said="feeds line", grid=Shown("Feeds line", 150, is_chosen=True)),
        Column("join", Kind.KEY, "Number of the task that takes the unit in.", is_required=True,
               said="at task", grid=Shown("At task", 110, "The task that consumes the unit.")),
        Column("quantity", Kind.NUMBER, "Units of the feeder in one unit of that line.",
               grid=Shown("Quantity per set", 150)),
        Column("replacement_share", Kind.SHARE,
               "Extra units that replace damaged ones: 0.02 for 2 %.",
               grid=Shown("Replaced (share)", 150)),
    ),
)

MACHINES = Table(
    name="machines", title="Machines", record=Machine, path="machines", keys=("name",),
    uses=(Use.FLOW,), said="machine", heading="Machines",
    about="Machines that do work of a line without being one of its stations.",
    help="Inserters and presses by pieces; soldering, ovens and cooling by length and speed; "
    "cleaning and coating by batches; cutting by sheets. Leave empty what a machine does not have. "
    "Further to the right: magazines, places, stops, power, price.",
    columns=(
        Column("name", Kind.KEY, is_required=True, grid=Shown("Machine", 190, is_pinned=True)),
        Column("kind", Kind.CHOICE, "How it works.", is_required=True, words=MachineKind,
               titles={MachineKind.INSERTER: "inserter",
                       MachineKind.IN_LINE: "pass-through",
                       MachineKind.BATCH: "batch",
                       MachineKind.PRESS: "press",
                       MachineKind.CUTTER: "cutter"},
               empty=MachineKind.INSERTER, grid=Shown("Kind", 120)),
        Column("line", Kind.KEY, "Whose units it works on; empty: the main line's.",
               grid=Shown("Line", 130, is_chosen=True)),
        Column("task", Kind.KEY, "The task it does; empty: it works ahead of the line.",
               grid=Shown("Task", 90, "The task it does, at whose station it stands; empty: it "
                          "works ahead of the line.", is_chosen=True)),
        Column("pieces", Kind.NUMBER, "Placements, strokes or cut parts in one unit.",
               said="pieces in one unit", grid=Shown("Pieces per unit", 140,
               "Placements, strokes or cut parts in one unit of the line.")),
        Column("piece_s", Kind.TIME, "Of one placement or stroke.", "s", said="time of one piece",
               grid=Shown("One piece", 120, "Time of one placement or stroke.")),
        Column("load_s", Kind.TIME, "To load and unload it.", "s", said="loading time",
               grid=Shown("Load, unload", 130, "For each unit, batch or sheet.")),
        Column("process_s", Kind.TIME, "Of one batch, or one sheet.", "s", said="process time",
               grid=Shown("Batch or sheet", 140, "Process time of one batch, or of one sheet.")),
        Column("batch", Kind.NUMBER, "Units in one load; parts out of one sheet.",
               grid=Shown("In a batch", 120, "Units in one load; parts out of one sheet.")),
        Column("length_m", Kind.NUMBER, "That a unit passes through.", "m",
               grid=Shown("Length", 110, "Length that a unit passes through.")),
        Column("speed_m_per_min", Kind.NUMBER, "Of its conveyor, m/min.", said="speed (m/min)",
               grid=Shown("Speed (m/min)", 130)),
        Column("spacing_m", Kind.NUMBER, "From unit to unit on it.", "m",
               said="distance of the units", grid=Shown("Unit to unit", 125)),
        Column("yield_share", Kind.SHARE, A_SHARE, grid=Shown("Yield (share)", 130)),
        Column("magazine", Kind.NUMBER, "Pieces in one magazine.", said="pieces in a magazine",
               grid=Shown("In a magazine", 135, "Pieces in one magazine.")),
        Column("magazines", Kind.WHOLE, "Magazines at the machine.", highest=MOST_ALIKE,
               grid=Shown("Magazines", 110, "At the machine.")),
        Column("change_s", Kind.TIME, "To change one magazine.", "s",
               said="time to change a magazine", grid=Shown("Change", 110,
               "Time to change one magazine.")),
        Column("count", Kind.WHOLE, "Machines there are; empty: to be computed.",
               highest=MOST_ALIKE, said="machines there are",
               grid=Shown("There are", 100, "Empty: to be computed.")),
        Column("places_before", Kind.WHOLE, "For units that wait before it.",
               highest=MOST_WAITING, said="places before it",
               grid=Shown("Places before", 130, "For units that wait before it.")),
        Column("places_after", Kind.WHOLE, "For units that wait behind it.",
               highest=MOST_WAITING, said="places behind it",
               grid=Shown("Places behind", 130, "For units that wait behind it.")),
        Column("mtbf_min", Kind.NUMBER, "Mean running time between failures.", "min",
               said="running time between failures (min)", grid=Shown("Between failures", 160)),
        Column("mttr_min", Kind.NUMBER, "Mean time to repair.", "min", said="time to repair (min)",
               grid=Shown("To repair", 120)),
        Column("power_w", Kind.NUMBER, "Power of one machine.", "W", uses=(),
               grid=Shown("Power", 100)),
        Column("cost", Kind.NUMBER, "Price of one more.", uses=(),
               grid=Shown("Price of one more", 150)),
    ),
)

PACKING = Table(
    name="packing", title="Packing", record=Packing, path="packing", is_single=True, in_toml=True,
    uses=(Use.DROPS,),
    about="One row: the packed unit, for the drop plan and the pallet.",
    columns=(
        Column("gross_kg", Kind.NUMBER, "Mass of the packed unit.", "kg", said="gross mass",
               zero=ABOVE_ZERO, form=Shown("Gross mass")),
        Column("form", Kind.CHOICE, words=PackForm, said="form of the packed unit",
               form=Shown("Form", at=(1, 0))),
        Column("length_mm", Kind.NUMBER, "Outside; of a cylinder the diameter.", "mm",
               zero=ABOVE_ZERO, said="length of the packed unit",
               form=Shown("Length", help="Outside; of a cylinder the diameter.", at=(0, 1))),
        Column("width_mm", Kind.NUMBER, "Outside; of a cylinder the diameter.", "mm",
               zero=ABOVE_ZERO, said="width of the packed unit",
               form=Shown("Width", help="Outside; of a cylinder the diameter.", at=(1, 1))),
        Column("height_mm", Kind.NUMBER, "Outside.", "mm", said="height of the packed unit",
               zero=ABOVE_ZERO, form=Shown("Height", at=(2, 1))),
        Column("per_pallet", Kind.WHOLE, "Packed units on one pallet.", said="units on a pallet",
               zero=ABOVE_ZERO, form=Shown("Units on a pallet", at=(3, 1))),
        Column("drop_procedure", Kind.CHOICE, "Published procedure of the drop test.",
               words=DropProcedure, form=Shown("Drop test", at=(2, 0))),
        Column("weakest_corner", Kind.TEXT, 'Where three faces meet: "2-3-5".',
               form=Shown("Weakest corner", help="The corner where three faces meet, by their "
                          "numbers: 2-3-5; empty: not known.", at=(3, 0))),
    ),
)

FAULTS = Table(
    name="faults", title="Faults", record=Fault, path="faults", keys=("code",), uses=FAULTS_FOUND,
    said="fault", heading="Faults",
    about="Place-of-fault codes of the tests, as they stand on their fault cards.",
    help="A code for each place where a test finds faults. Task and part are what is to blame.",
    columns=(
        Column("code", Kind.KEY, is_required=True, grid=Shown("Code", 90, is_pinned=True)),
        Column("text", Kind.TEXT, "What is wrong, and where.", grid=Shown("Fault", 280)),
        Column("gate", Kind.KEY, "Number of the test or inspection that finds it.",
               said="found at task", grid=Shown("Found at task", 130, is_chosen=True)),
        Column("task", Kind.KEY, "Number of the task that causes it.", said="caused by task",
               grid=Shown("Caused by task", 130, is_chosen=True)),
        Column("part", Kind.KEY, "Number of the part that is to blame.", said="part to blame",
               grid=Shown("Part", 120, is_chosen=True)),
        Column("reaction", Kind.TEXT, "What is done with the unit.",
               grid=Shown("What is done", 260)),
    ),
)

TALLY = Table(
    name="tally", title="Tally", record=FaultCount, path="tally", keys=("date", "fault"),
    uses=FAULTS_FOUND, said="tally", heading="Tally of faults",
    about="How often each fault was found, day by day.",
    help="One row for each day and fault. Paste it from a spreadsheet, or import it.",
    columns=(
        Column("date", Kind.DATE, '"2026-09-14".', is_required=True, grid=Shown("Day", 120)),
        Column("fault", Kind.KEY, "Code of the fault.", is_required=True,
               grid=Shown("Fault", 110, is_chosen=True)),
        Column("count", Kind.WHOLE, "How often it was found.", said="how often",
               grid=Shown("How often", 110)),
    ),
)

COSTS = Table(
    name="costs", title="Costs", record=Costs, path="costs", is_single=True, in_toml=True,
    uses=(Use.COSTS,),
    about="One row: what stations, people and space cost.",
    columns=(
        Column("operator_cost_h", Kind.NUMBER, "Cost of one operator, an hour.",
               said="cost of an operator an hour", form=Shown("One operator, an hour")),
        Column("station_cost_week", Kind.NUMBER, "Cost of one equipped station, a week.",
               said="cost of a station a week", form=Shown("One station, a week", at=(1, 0))),
        Column("space_cost_m2_week", Kind.NUMBER, "Cost of one square metre, a week.",
               said="cost of a square metre a week",
               form=Shown("One square metre, a week", at=(2, 0))),
        Column("line_width_m", Kind.NUMBER, "Across a line, aisles and parts included.", "m",
               zero=ABOVE_ZERO, said="width of a line", form=Shown("Width of a line",
               help="Across the line, aisles and parts included.", at=(3, 0))),
    ),
)
