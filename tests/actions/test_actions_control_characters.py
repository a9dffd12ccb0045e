"""Control characters in the texts of a product break no file that goes out."""

import io
import zipfile
from dataclasses import replace
from functools import partial
from xml.etree import ElementTree

import pytest
from openpyxl import load_workbook
from small_products import LAMP

from stationflow.actions.showing.drawings import line_diagram, whole_diagram
from stationflow.actions.showing.exporting import What, plan_chart, plan_tables, product_tables
from stationflow.balancing.balance import balance_line
from stationflow.files.exports.sheets_out import tables_xlsx
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Plan, Product

CONTROL = "".join(map(chr, (*range(32), *range(127, 160), 0x2028, 0xFFFE))) + "_x0000_ x005F_"
LINE = f"main{CONTROL}"


def hostile() -> Product:
    """Return the lamp with such characters in its texts."""
    (line,) = LAMP.lines
    tasks = tuple(
        replace(
            task,
            number=task.number + CONTROL,
            name=task.name + CONTROL,
            line=LINE,
            predecessors=tuple(number + CONTROL for number in task.predecessors),
            steps=tuple(replace(step, text=step.text + CONTROL) for step in task.steps),
        )
        for task in LAMP.tasks
    )
    texts = {"code": f"L{CONTROL}", "name": f"Lamp{CONTROL}", "remarks": CONTROL}
    return replace(LAMP, **texts, lines=(replace(line, name=LINE),), tasks=tasks, pictures=())


PRODUCT = hostile()
PLAN = Plan(
    product=PRODUCT.code,
    result=balance_line(PRODUCT, line=LINE, limit_s=60, method="largest-candidate"),
)
WORKBOOKS = {
    "product": lambda: write_workbook(PRODUCT, {})[0],
    "tables of the product": lambda: tables_xlsx(
        [product_tables(PRODUCT, what, LINE) for what in (What.TASKS, What.MATRIX, What.PACE)]
    ),
    "tables of a plan": lambda: tables_xlsx(list(plan_tables(PLAN, PRODUCT, ()).values())),
}
PICTURES = {
    "diagram": partial(line_diagram, PRODUCT, LINE, PLAN.result.stations),
    "diagram of all lines": partial(whole_diagram, PRODUCT),
    "load chart": partial(plan_chart, PLAN, PRODUCT),
}


@pytest.mark.parametrize("name", WORKBOOKS)
def test_every_part_of_a_workbook_is_sound(name: str):
    book = WORKBOOKS[name]()
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        for part in parts.namelist():
            if part.endswith((".xml", ".rels", ".vml")):
                ElementTree.fromstring(parts.read(part))
    assert load_workbook(io.BytesIO(book)).sheetnames


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_drawn_and_its_text_is_sound(name: str):
    root = ElementTree.fromstring(PICTURES[name]("svg"))
    assert CONTROL[0] not in "".join(root.itertext())
    assert PICTURES[name]("png").startswith(b"\x89PNG")
