"""An invented desk fan, with pictures drawn here, for looking at station cards."""

import io
from dataclasses import replace
from functools import cache

from PIL import Image, ImageDraw
from small_plans import answer, changed, station

from stationflow.model import (
    Caution,
    Check,
    Ending,
    Hazard,
    Line,
    OperatorWork,
    Part,
    PartUse,
    Picture,
    Plan,
    Product,
    Step,
    Task,
    ToolUse,
)
from stationflow.units import TimeUnit

TASKS = (
    Task(
        number="010",
        name="Place base plate in jig",
        time_ms=6400,
        steps=(
            Step(
                text="Take a base plate and look at its rim",
                key_point="No flash, no scratch longer than 5 mm",
                reason="The rim is the first thing the customer touches",
                picture="base.png",
            ),
            Step(
                text="Lay it face down on the jig",
                key_point="Cable slot points to the red pin",
                reason="Turned round, the cable does not reach the switch",
                picture="jig.png",
            ),
        ),
        parts=(PartUse(part="FN-110"),),
        tools=(ToolUse(tool="Jig J-07"),),
        cautions=(Caution(hazard=Hazard.SHARP),),
    ),
    Task(
        number="020",
        name="Fasten motor bracket",
        time_ms=12_850,
        predecessors=("010",),
        steps=(
            Step(
                text="Set the bracket on the four posts",
                key_point="Arrow up",
                reason="The motor tilts otherwise",
                picture="bracket.png",
            ),
            Step(
                text="Drive four screws crosswise",
                key_point="Bit square to the head until the tool cuts out",
                reason="A tilted screw strips the post",
            ),
        ),
        parts=(PartUse(part="FN-120"), PartUse(part="SC-4012", quantity=4)),
        tools=(ToolUse(tool="Screwdriver D-2, bit T20", setting="1.2 Nm"),),
        checks=(
            Check(
                text="Bracket does not move by hand",
                limit="no play",
                method="by hand",
                reaction="Set the unit aside with a red tag, call the line lead",
            ),
        ),
        cautions=(Caution(hazard=Hazard.AIR_TOOL),),
    ),
    Task(
        number="030",
        name="Plug switch board and route the cable",
        time_ms=11_250,
        predecessors=("010",),
        steps=(
            Step(
                text="Take the board out of its bag",
                key_point="Touch its edges only",
                reason="Static charge damages the controller unseen",
                picture="board.png",
            ),
            Step(
                text="Push the plug in until it clicks",
                key_point="Listen for the click, pull lightly",
                reason="A loose plug fails in the customer's hands",
            ),
            Step(
                text="Lay the cable through all three hooks",
                key_point="No cable under the bracket",
                reason="A pinched cable may become live",
                picture="cable.png",
            ),
        ),
        parts=(PartUse(part="FN-310"), PartUse(part="FN-320", quantity=0.35)),
        cautions=(Caution(hazard=Hazard.STATIC),),
    ),
    Task(
        number="040",
        name="Mount motor",
        time_ms=9300,
        predecessors=("020",),
        steps=(
            Step(
                text="Lower the motor into the bracket",
                key_point="Both flats against the stop",
                reason="The shaft would not be centred",
                picture="motor.png",
            ),
        ),
        parts=(PartUse(part="FN-210"), PartUse(part="SC-4012", quantity=2)),
        tools=(ToolUse(tool="Screwdriver D-2, bit T20", setting="1.2 Nm"),),
        cautions=(Caution(hazard=Hazard.AIR_TOOL),),
    ),
    Task(
        number="050",
        name="Measure earth path",
        time_ms=8150,
        predecessors=("040",),
        machine=True,
        tools=(ToolUse(tool="Earth tester E-1", setting="10 A, 2 s"),),
        checks=(
            Check(
                text="Resistance from plug pin to motor body",
                limit="0.10 ohm or less",
                method="earth tester E-1",
                record="test log",
                reaction="Stop. Red tag, repair bench, test again",
            ),
        ),
    ),
    Task(
        number="060",
        name="Close the housing",
        time_ms=5000,
        predecessors=("050",),
        steps=(Step(text="Press the cover on until all six snaps click"),),
        parts=(PartUse(part="FN-130"),),
    ),
    Task(number="070", name="Pack the fan", time_ms=30_000, predecessors=("060",)),
)
PARTS = (
    Part(number="FN-110", name="Base plate", container="K-A1 tall tray"),
    Part(number="FN-120", name="Motor bracket", container="K-A2"),
    Part(number="FN-130", name="Cover", container="K-B4"),
    Part(number="FN-210", name="Motor 24 W", container="K-B1 foam tray"),
    Part(number="FN-310", name="Switch board", container="K-C2 static-safe"),
    Part(number="FN-320", name="Sleeve 6 mm", unit="m", container="reel R-3"),
    Part(number="SC-4012", name="Screw 4 x 12", container="bin 7"),
)
PICTURES = ("base.png", "jig.png", "bracket.png", "board.png", "cable.png", "motor.png")


def fan(unit: TimeUnit = TimeUnit.SECOND, tasks: tuple[Task, ...] = TASKS) -> Product:
    """Return the desk fan with times shown in a unit."""
    return Product(
        code="FAN-20",
        name="Desk fan, 230 mm, two speeds",
        author="A. Weaver",
        time_unit=unit,
        lines=(Line(title="Final assembly"),),
        tasks=tasks,
        parts=PARTS,
        pictures=tuple(Picture(name=name, checksum="0" * 64) for name in PICTURES),
    )


def plan_of(product: Product, *stations: tuple[str, ...], takt: float = 60.0) -> Plan:
    """Return a plan with these tasks at the stations, the pace set by demand."""
    times = {task.number: (task.time_ms or 0) / 1000 for task in product.tasks}
    result = answer(
        *(station(n, at, sum(times[t] for t in at)) for n, at in enumerate(stations, start=1)),
        takt_time=64.8,
        operating_takt=62.0,
        station_time=takt,
        ending=Ending.OPTIMAL,
        lower_bound=2,
    )
    return Plan(product=product.code, result=result)


def fan_plan(product: Product | None = None) -> Plan:
    """Return six tasks at station 1, packing at station 2."""
    product = product or fan()
    return plan_of(product, tuple(t.number for t in TASKS[:6]), ("070",))


def long_task(steps: int) -> Task:
    """Return a task with many steps."""
    return Task(
        number="900",
        name="Wire the control box",
        time_ms=50_000,
        steps=tuple(
            Step(
                text=f"Lay wire {n} from terminal X1.{n} to terminal X2.{n}",
                key_point="No tighter bend than 10 mm",
                reason="A sharp bend breaks strands unseen",
                picture=PICTURES[n % 6] if n % 4 == 0 else "",
            )
            for n in range(1, steps + 1)
        ),
    )


def with_operators(plan: Plan, operators: int) -> Plan:
    """Return the plan with so many operators at every station."""
    more = (OperatorWork(),) * (operators - 1)
    held = plan.result.stations
    stations = tuple(replace(s, operators=(*s.operators, *more)) for s in held)
    return replace(plan, result=changed(plan.result, stations=stations))


@cache
def pictures() -> dict[str, bytes]:
    """Return line drawings of the fan's parts as PNG by name."""
    drawn = {}
    for place, name in enumerate(PICTURES):
        image = Image.new("RGB", (480, 320), "white")
        draw = ImageDraw.Draw(image)
        _DRAW[place](draw)
        file = io.BytesIO()
        image.save(file, format="PNG")
        drawn[name] = file.getvalue()
    return drawn


def _base(draw: ImageDraw.ImageDraw) -> None:
    draw.ellipse((60, 90, 420, 270), fill="#e8e8e8", outline="black", width=4)
    draw.ellipse((90, 105, 390, 245), outline="#777777", width=2)
    draw.rectangle((228, 248, 252, 275), fill="white", outline="black", width=3)
    _arrow(draw, (380, 40), (345, 110))


def _jig(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((40, 60, 440, 290), fill="#f4f4f4", outline="black", width=4)
    draw.ellipse((110, 80, 370, 270), fill="#dddddd", outline="black", width=4)
    draw.ellipse((228, 262, 252, 286), fill="#c0392b", outline="black", width=3)
    _arrow(draw, (330, 305), (262, 278))


def _bracket(draw: ImageDraw.ImageDraw) -> None:
    _base(draw)
    draw.polygon(((170, 210), (190, 90), (290, 90), (310, 210)), fill="#bbbbbb", outline="black")
    for x, y in ((185, 195), (295, 195), (200, 105), (280, 105)):
        draw.ellipse((x - 9, y - 9, x + 9, y + 9), fill="white", outline="black", width=3)
    draw.polygon(((240, 105), (222, 140), (258, 140)), fill="black")


def _board(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((90, 80, 390, 250), fill="#d5e8d4", outline="black", width=4)
    draw.rectangle((190, 120, 270, 180), fill="#333333")
    for x in range(110, 200, 22):
        draw.rectangle((x, 215, x + 12, 240), fill="#999999", outline="black")
    draw.rectangle((300, 190, 370, 240), fill="white", outline="black", width=3)
    _arrow(draw, (40, 40), (88, 95))


def _cable(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((40, 50, 440, 280), fill="#f4f4f4", outline="black", width=4)
    draw.line(((60, 220), (150, 120), (250, 190), (350, 110), (420, 200)), fill="black", width=9)
    for x, y in ((150, 120), (250, 190), (350, 110)):
        draw.arc((x - 22, y - 22, x + 22, y + 22), 200, 520, fill="#c0392b", width=6)


def _motor(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((140, 100, 340, 240), fill="#cccccc", outline="black", width=4)
    draw.rectangle((340, 158, 430, 182), fill="#eeeeee", outline="black", width=3)
    for x in range(160, 330, 24):
        draw.line(((x, 105), (x, 235)), fill="#777777", width=3)
    _arrow(draw, (240, 20), (240, 92))


def _arrow(draw: ImageDraw.ImageDraw, start: tuple[float, float], end: tuple[float, float]) -> None:
    draw.line((start, end), fill="#c0392b", width=7)
    x, y = end
    draw.ellipse((x - 11, y - 11, x + 11, y + 11), fill="#c0392b")


_DRAW = (_base, _jig, _bracket, _board, _cable, _motor)
