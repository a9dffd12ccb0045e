"""Named small products for the tests, each with a line saying what is special.

A calendar of one shift of 480 working minutes on five days gives 28 800 s a day;
480 good units a day are then one in 60 s.
"""

import io
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from stationflow.files.pictures import picture_checksum
from stationflow.files.product.product_folder import write_product_folder
from stationflow.model import (
    Author,
    Break,
    Calendar,
    Caution,
    Check,
    Demand,
    Hazard,
    Lift,
    Line,
    Model,
    ModelTime,
    Part,
    PartUse,
    Period,
    Picture,
    Plan,
    Product,
    Shift,
    Step,
    Task,
    TaskLimits,
    TimeLag,
    ToolUse,
)
from stationflow.storage import Draft, Store

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
ANA = {"by": Author("ana", MORNING)}

ONE_SHIFT = Calendar(
    shifts=(
        Shift(name="early", start="06:00", end="14:30", breaks=(Break(name="lunch", minutes=30),)),
    )
)
A_MINUTE = Demand(quantity=480, period=Period.DAY)


def a_picture(colour: str = "steelblue") -> bytes:
    """Return a small PNG."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (48, 32), colour).save(out, "PNG")
    return out.getvalue()


PHOTO = a_picture()
PICTURES = {"base.png": PHOTO}

ONE_TASK = Product(
    code="L-1", name="Lamp", tasks=(Task(number="10", name="Fit base", time_ms=12_500),)
)
"""One task of 12.5 s, for what a store does with any product."""

LAMP = Product(
    code="L-100",
    name="Table lamp",
    author="ana",
    calendar=ONE_SHIFT,
    demand=A_MINUTE,
    parts=(Part(number="P-1", name="Base plate", quantity=1, container="K4"),),
    pictures=(Picture(name="base.png", checksum=picture_checksum(PHOTO)),),
    tasks=(
        Task(
            number="10",
            name="Place base",
            time_ms=30_000,
            picture="base.png",
            steps=(Step(text="Lay base in jig", key_point="Felt side down", reason="Scratches"),),
            parts=(PartUse(part="P-1", quantity=1),),
            cautions=(Caution(hazard=Hazard.SHARP),),
        ),
        Task(
            number="20",
            name="Screw on foot",
            time_ms=25_000,
            predecessors=("10",),
            tools=(ToolUse(tool="Screwdriver", setting="1.2 N m"),),
        ),
        Task(number="30", name="Wire socket", time_ms=35_000, predecessors=("10",)),
        Task(number="40", name="Join arm", time_ms=20_000, predecessors=("20", "30")),
        Task(
            number="50",
            name="Test lamp",
            time_ms=40_000,
            predecessors=("40",),
            checks=(Check(text="Lamp lights", limit="lights", reaction="Put in red box"),),
        ),
    ),
)
"""Five tasks, two paths, 150 s of work. By hand: at 60 s three stations (150 / 60 = 2.5), and
with three stations no cycle under 55 s, since without 50 (40 s) 110 s are left for two."""

LIFT = Lift(from_reach_mm=350, from_height_mm=750, to_height_mm=750, let_go=True)
HEAVY_LAMP = replace(
    LAMP,
    code="L-9",
    tasks=(replace(LAMP.tasks[0], lift=LIFT, limits=TaskLimits(lift_kg=9)), *LAMP.tasks[1:]),
)
"""The base is lifted by hand, once a unit."""

BOARD_LAMP = replace(
    LAMP,
    code="L-200",
    name="Lamp with board",
    lines=(
        Line(),
        Line(name="board", title="Board feeder", feeds="main", join="30", quantity=2),
    ),
    tasks=(
        *LAMP.tasks,
        Task(number="b1", name="Insert parts", line="board", time_ms=12_000),
        Task(number="b2", name="Solder", line="board", time_ms=14_000, predecessors=("b1",)),
        Task(number="b3", name="Test board", line="board", time_ms=12_000, predecessors=("b2",)),
    ),
    lags=(TimeLag(before="30", after="50", shortest_ms=60_000),),
)
"""A feeder of two boards a lamp: its own pace is 30 s, and 38 s of work need two stations."""

MOVABLE = Product(
    code="L-250",
    calendar=ONE_SHIFT,
    demand=A_MINUTE,
    lines=(Line(), Line(name="board", feeds="main", join="20")),
    tasks=(
        Task(number="10", time_ms=30_000),
        Task(number="20", time_ms=30_000, predecessors=("10",)),
        Task(number="30", time_ms=20_000, other_lines=("board",)),
        Task(number="B1", time_ms=30_000, line="board"),
    ),
)
"""80 s of main need 2 stations and 30 s of the board 1; with task 30 on the board, where it may be
done too, main needs 60 s in one station and the board 50 s in one."""

LIMITED = replace(
    LAMP,
    code="L-300",
    tasks=(*LAMP.tasks[:4], replace(LAMP.tasks[4], limits=TaskLimits(apart=("40",)))),
)
"""Task 50 must be kept apart from task 40."""

MIXED = replace(
    LAMP,
    code="L-400",
    models=(Model(name="A", share=0.5), Model(name="B", share=0.5)),
    tasks=(
        replace(
            LAMP.tasks[0],
            model_times=(
                ModelTime(model="A", time_ms=20_000),
                ModelTime(model="B", time_ms=40_000),
            ),
        ),
        *LAMP.tasks[1:],
    ),
)
"""Two models; task 10 takes 20 s for one and 40 s for the other."""

TOO_LONG = replace(
    LAMP, code="L-500", tasks=(*LAMP.tasks[:4], replace(LAMP.tasks[4], time_ms=75_000))
)
"""Task 50 takes 75 s, longer than the 60 s of the pace."""

BROKEN = Product(
    code="L-900",
    name="Broken draft",
    tasks=(
        Task(number="10", name="First", time_ms=10_000, predecessors=("20",)),
        Task(number="20", name="Second", time_ms=10_000, predecessors=("10",)),
        Task(number="30", name="Not timed"),
        Task(number="40", name="Lost arrow", time_ms=5000, predecessors=("99",)),
        Task(number="50", name="One", time_ms=5000),
        Task(number="50", name="The other", time_ms=6000),
    ),
)
"""A circle, an untimed task, an unknown predecessor and two tasks with one number."""

EMPTY = Product(code="L-000", name="Nothing yet")
"""No task, no calendar, no demand."""


def put_in(store: Store, product: Product) -> Draft:
    """Put a product with its pictures into a store."""
    contents = {picture.checksum: PICTURES[picture.name] for picture in product.pictures}
    return store.add_product(product, contents, **ANA)


def write_folder(folder: Path, product: Product, plans: tuple[Plan, ...] = ()) -> Path:
    """Write a product folder named after the product code and return its path."""
    path = folder / product.code
    pictures = {picture.name: PICTURES[picture.name] for picture in product.pictures}
    write_product_folder(path, product, pictures, plans)
    return path
