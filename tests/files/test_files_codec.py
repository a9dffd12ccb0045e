"""The JSON of products and plans. Expected values are worked out by hand."""

import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from small_plans import answer, station

from stationflow.errors import DocumentError
from stationflow.files.codec import PLAN, PRODUCT, product_checksum
from stationflow.model import (
    BalanceSettings,
    Confirmation,
    Demand,
    Effort,
    Ending,
    Line,
    Plan,
    Product,
    Proof,
    QualityKind,
    QualityStep,
    Step,
    Stopped,
    Task,
    TimeLag,
)

PUMP = Product(code="P-1", name="Pumpe für Öl", tasks=(Task(number="010", time_ms=7500),))
BALANCED = Plan(
    product="P-1",
    result=answer(
        station(1, ("010",), 7.5), limit=60.0, ending=Ending.OPTIMAL, bounds=(("LB1", 1.0),)
    ),
    at=datetime(2026, 3, 1, 8, 30, tzinfo=UTC),
)


def test_a_product_comes_back_from_its_json():
    assert PRODUCT.from_json(PRODUCT.to_json(PUMP)) == PUMP


def test_a_plan_comes_back_from_its_json():
    assert PLAN.from_json(PLAN.to_json(BALANCED)) == BALANCED


SEARCHED = replace(
    BALANCED,
    result=replace(
        BALANCED.result,
        asked=BalanceSettings(limit=60.0, memory_mb=512, nodes=1000),
        proof=Proof(stopped=Stopped.NODES),
        effort=Effort(nodes=999, memory_mb=12.5),
    ),
    confirmation=Confirmation(engine="ortools", agrees=False, said="No.", runtime_s=0.5),
)


def test_how_far_a_search_went_comes_back_from_its_json():
    assert PLAN.from_json(PLAN.to_json(SEARCHED)) == SEARCHED


def test_fields_left_out_take_their_defaults():
    assert PRODUCT.from_json('{"code": "P-1"}') == Product(code="P-1")


def test_equal_products_have_equal_checksums():
    whole = Product(code="P-1", demand=Demand(quantity=500))
    assert product_checksum(whole) == product_checksum(
        Product(code="P-1", demand=Demand(quantity=500.0))
    )


def test_a_negative_zero_is_written_as_zero():
    # -0.0 equals 0.0, and equal products have equal text.
    text = PRODUCT.to_json(Product(code="P-1", demand=Demand(quantity=-0.0)))
    assert text == PRODUCT.to_json(Product(code="P-1", demand=Demand(quantity=0.0)))


def test_another_time_is_another_checksum():
    other = Product(code="P-1", name="Pumpe für Öl", tasks=(Task(number="010", time_ms=7600),))
    assert product_checksum(other) != product_checksum(PUMP)


def test_keys_are_sorted():
    keys = list(json.loads(PRODUCT.to_json(PUMP)))
    assert keys == sorted(keys)


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", '{"code": 1}', '{"code": "a"},{"code": "b"}', "[" * 100_000, '{"name": "x"}'],
)
def test_a_text_that_is_no_product_is_refused(text: str):
    with pytest.raises(DocumentError, match=r"^The product.* cannot be read: "):
        PRODUCT.from_json(text)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999", "-1"])
def test_a_time_that_cannot_be_is_refused(number: str):
    with pytest.raises(DocumentError, match=r"time_ms|is no number"):
        PRODUCT.from_json(f'{{"code": "a", "tasks": [{{"number": "1", "time_ms": {number}}}]}}')


def test_times_kept_in_seconds_before_are_read_in_whole_milliseconds():
    text = (
        '{"code": "a", "lines": [{"repositioning_s": 1.5}], "lags": [{"before": "1", "after": "2", '
        '"shortest_s": 60.0, "longest_s": null}], "tasks": [{"number": "1", "time_s": 7.5, '
        '"time_sd_s": 0.3333, "steps": [{"text": "Lay", "time_s": 7.5}], "quality": '
        '{"kind": "soak", "process_s": 60.0, "repair_s": 5}}]}'
    )
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=60_000, repair_ms=5000)
    steps = (Step(text="Lay", time_ms=7500),)
    assert PRODUCT.from_json(text) == Product(
        code="a",
        lines=(Line(repositioning_ms=1500),),
        lags=(TimeLag(before="1", after="2", shortest_ms=60_000),),
        tasks=(Task(number="1", time_ms=7500, time_sd_ms=333, steps=steps, quality=soak),),
    )


def test_an_infinite_number_is_never_written():
    with pytest.raises(ValueError, match="not JSON"):
        PRODUCT.to_json(Product(code="a", demand=Demand(quantity=float("inf"))))


def test_what_is_as_usual_is_not_written():
    assert PRODUCT.to_json(PUMP) == (
        '{"code":"P-1","form":2,"name":"Pumpe f\\u00fcr \\u00d6l",'
        '"tasks":[{"number":"010","time_ms":7500}]}'
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            '{"code":"P-1","form":2,"tasks":[{"number":"1"},{"number":"2","colour":"red"}]}',
            'The product P-1 cannot be read: its field "tasks, 2, colour" is not known here. '
            "If a newer Stationflow wrote it, open it with that one. Nothing of it was changed.",
        ),
        (
            '{"code":"P-1","colour":"red"}',
            'The product P-1 cannot be read: its field "colour" is not known here. '
            "If a newer Stationflow wrote it, open it with that one. Nothing of it was changed.",
        ),
        (
            '{"code":"P-1","form":99}',
            "The product P-1 cannot be read: it has form 99, and this Stationflow knows forms up "
            "to 2. If a newer Stationflow wrote it, open it with that one. Nothing of it was "
            "changed.",
        ),
    ],
    ids=["a field of a task", "a field", "a form to come"],
)
def test_a_document_that_says_more_than_we_know_is_refused(text: str, said: str):
    with pytest.raises(DocumentError) as refused:
        PRODUCT.from_json(text)
    assert str(refused.value) == said


@pytest.mark.parametrize("form", ["0", "-1", '"2"', "1.5", "null", "true"])
def test_a_form_that_is_no_number_is_refused(form: str):
    with pytest.raises(DocumentError, match="form"):
        PRODUCT.from_json(f'{{"code": "P-1", "form": {form}}}')
