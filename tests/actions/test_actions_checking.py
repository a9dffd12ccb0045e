"""Checking a product."""

from collections import Counter
from dataclasses import replace

import pytest
from small_products import BROKEN, LAMP

from stationflow.actions.showing.checking import check_product
from stationflow.model import Severity


def codes(findings) -> list[str]:
    return [finding.code for finding in findings]


def with_task(product, number: str, **changes):
    tasks = tuple(replace(t, **changes) if t.number == number else t for t in product.tasks)
    return replace(product, tasks=tasks)


def test_a_good_product_has_nothing_to_cure():
    assert check_product(LAMP) == ()


def test_each_finding_is_there_once():
    found = check_product(BROKEN)
    assert [f for f, times in Counter(found).items() if times > 1] == []


@pytest.mark.parametrize(
    "code", ["precedence-circle", "task-without-time", "unknown-predecessor", "duplicate-task"]
)
def test_each_mistake_is_named_once(code):
    assert codes(check_product(BROKEN)).count(code) == 1


def test_errors_come_first():
    severities = [f.severity for f in check_product(with_task(BROKEN, "10", time_ms=0))]
    assert severities == sorted(severities, key=list(Severity).index)
