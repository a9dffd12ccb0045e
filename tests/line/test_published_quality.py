"""Every published value of queues, yields, sampling and drops, to its last digit."""

import pytest

from tests.line.published_quality import ROWS, Row


@pytest.mark.parametrize("row", ROWS, ids=[f"{row.case}" for row in ROWS])
def test_ours_is_the_published_value(row: Row):
    assert row.agrees, f"{row.source}: {row.printed}, ours {row.ours()}"
