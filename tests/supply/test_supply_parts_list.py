"""Parts of the tasks against the parts list. Quantities are worked out by hand."""

from dataclasses import replace

from stationflow.model import Line, Part, PartUse, Product, Task
from stationflow.supply.parts_list import check_parts, quantities_used

LINES = (
    Line(),
    Line(name="board", feeds="main", join="10", quantity=2),
    Line(name="coil", feeds="board", join="B1", quantity=3),
)


def product(quantity: float | None, *uses: tuple[str, float], part: str = "K1") -> Product:
    tasks = tuple(
        Task(number=str(n), line=line, parts=(PartUse(part="K1", quantity=used),))
        for n, (line, used) in enumerate(uses)
    )
    return Product(
        code="P", lines=LINES, tasks=tasks, parts=(Part(number=part, quantity=quantity),)
    )


def codes(checked: Product) -> list[str]:
    return [finding.code for finding in check_parts(checked)]


def test_quantities_that_agree_have_no_findings():
    assert codes(product(6, ("main", 4), ("main", 2))) == []


def test_a_quantity_that_differs_is_named():
    assert codes(product(6, ("main", 4))) == ["part-quantity-differs"]


def test_a_part_no_task_fits_is_named():
    assert codes(product(1)) == ["part-quantity-differs"]


def test_parts_of_a_feeder_count_per_unit_of_it():
    assert codes(product(8, ("board", 4))) == []


def test_parts_of_a_feeder_of_a_feeder_count_through_the_chain():
    assert quantities_used(product(None, ("coil", 1), ("main", 1)))["K1"] == 7  # 2 x 3 + 1


def test_tenths_add_up_exactly():
    assert codes(product(0.3, ("main", 0.1), ("main", 0.1), ("main", 0.1))) == []


def test_a_quantity_that_is_not_entered_is_not_compared():
    assert codes(product(None, ("main", 4))) == []


def test_a_part_that_is_not_in_the_list_is_named():
    assert codes(product(None, ("main", 4), part="K2")) == ["unknown-part"]


def test_a_part_number_used_twice_is_named():
    checked = product(4, ("main", 4))
    assert codes(replace(checked, parts=checked.parts * 2)) == ["duplicate-part"]


def test_the_message_gives_both_quantities():
    message = check_parts(product(6, ("main", 4)))[0].message
    assert "6 pcs" in message
    assert "4 pcs" in message


def test_parts_on_a_line_that_leads_nowhere_are_not_compared():
    assert codes(product(4, ("elsewhere", 1))) == []
