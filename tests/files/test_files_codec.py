"""The JSON of products and plans. Expected values are worked out by hand."""

import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from small_plans import answer, station

from stationflow.files.codec import (
    plan_from_json,
    plan_to_json,
    product_checksum,
    product_from_json,
    product_to_json,
)
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
PLAN = Plan(
    product="P-1",
    result=answer(
        station(1, ("010",), 7.5), limit=60.0, ending=Ending.OPTIMAL, bounds=(("LB1", 1.0),)
    ),
    at=datetime(2026, 3, 1, 8, 30, tzinfo=UTC),
)


def test_a_product_comes_back_from_its_json():
    assert product_from_json(product_to_json(PUMP)) == PUMP


def test_a_plan_comes_back_from_its_json():
    assert plan_from_json(plan_to_json(PLAN)) == PLAN


SEARCHED = replace(
    PLAN,
    result=replace(
        PLAN.result,
        asked=BalanceSettings(limit=60.0, memory_mb=512, nodes=1000),
        proof=Proof(stopped=Stopped.NODES),
        effort=Effort(nodes=999, memory_mb=12.5),
    ),
    confirmation=Confirmation(engine="ortools", agrees=False, said="No.", runtime_s=0.5),
)


def test_how_far_a_search_went_comes_back_from_its_json():
    assert plan_from_json(plan_to_json(SEARCHED)) == SEARCHED


def test_a_plan_stored_before_searches_were_bounded_still_opens():
    document = json.loads(plan_to_json(PLAN))
    for name in ("memory_mb", "nodes"):
        del document["result"]["asked"][name]
        del document["result"]["effort"][name]
    del document["result"]["proof"]["stopped"], document["confirmation"]
    assert plan_from_json(json.dumps(document)) == PLAN


def test_a_plan_stored_with_a_flat_result_still_opens():
    # What a version before wrote: settings beside the result, the work of a station in seconds.
    document = """{"at":"2026-03-01T08:30:00Z","by":"","in_force":false,"name":"","plan_id":0,
    "product":"P-1","product_checksum":"","product_version":0,"result":{"bounds":[["LB1",1.0]],
    "confirmation":null,"cores":1,"direction":null,"ending":"optimal","engine":"","findings":[],
    "goal":"fewest-stations","line":"main","lower_bound":0.0,"memory_mb":0.0,"method":"exact",
    "nodes":0,"operating_takt":null,"runtime_s":0.0,"seed":null,"stations":[{"number":1,
    "operators":1,"tasks":["010"],"work":7.5}],"stopped":null,"takt":60.0,"takt_time":null,
    "time_unit":"s","trials":0},"settings":{"cores":null,"direction":null,"memory_mb":null,
    "method":"exact","nodes":null,"seconds":null,"seed":null,"stations":null,
    "stations_from":null,"takt":60.0,"trials":null}}"""
    assert plan_from_json(document) == PLAN


def test_fields_left_out_take_their_defaults():
    assert product_from_json('{"code": "P-1"}') == Product(code="P-1")


def test_equal_products_have_equal_checksums():
    whole = Product(code="P-1", demand=Demand(quantity=500))
    assert product_checksum(whole) == product_checksum(
        Product(code="P-1", demand=Demand(quantity=500.0))
    )


def test_another_time_is_another_checksum():
    other = Product(code="P-1", name="Pumpe für Öl", tasks=(Task(number="010", time_ms=7600),))
    assert product_checksum(other) != product_checksum(PUMP)


def test_keys_are_sorted():
    keys = list(json.loads(product_to_json(PUMP)))
    assert keys == sorted(keys)


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", '{"code": 1}', '{"code": "a"},{"code": "b"}', "[" * 100_000, '{"name": "x"}'],
)
def test_a_text_that_is_no_product_is_refused(text: str):
    with pytest.raises(ValueError, match="validation error"):
        product_from_json(text)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999", "-1"])
def test_a_time_that_cannot_be_is_refused(number: str):
    with pytest.raises(ValueError, match="time_ms"):
        product_from_json(f'{{"code": "a", "tasks": [{{"number": "1", "time_ms": {number}}}]}}')


def test_times_kept_in_seconds_before_are_read_in_whole_milliseconds():
    text = (
        '{"code": "a", "lines": [{"repositioning_s": 1.5}], "lags": [{"before": "1", "after": "2", '
        '"shortest_s": 60.0, "longest_s": null}], "tasks": [{"number": "1", "time_s": 7.5, '
        '"time_sd_s": 0.3333, "steps": [{"text": "Lay", "time_s": 7.5}], "quality": '
        '{"kind": "soak", "process_s": 60.0, "repair_s": 5}}]}'
    )
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=60_000, repair_ms=5000)
    steps = (Step(text="Lay", time_ms=7500),)
    assert product_from_json(text) == Product(
        code="a",
        lines=(Line(repositioning_ms=1500),),
        lags=(TimeLag(before="1", after="2", shortest_ms=60_000),),
        tasks=(Task(number="1", time_ms=7500, time_sd_ms=333, steps=steps, quality=soak),),
    )


def test_an_infinite_number_is_never_written():
    with pytest.raises(ValueError, match="not JSON"):
        product_to_json(Product(code="a", demand=Demand(quantity=float("inf"))))
