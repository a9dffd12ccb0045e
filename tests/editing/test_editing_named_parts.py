"""The parts list is filled with the parts that tasks name."""

from dataclasses import replace

from small_products import LAMP

from stationflow.editing.named_parts import unlisted_parts, with_named_parts
from stationflow.model import PartUse

T = LAMP.tasks  # task 10 fits P-1, which is listed
USES = (PartUse(part="P-9"), PartUse(part="P-1"), PartUse(part="P-7"))
NAMING = replace(LAMP, tasks=(T[0], replace(T[1], parts=USES), replace(T[2], parts=USES)))


def test_parts_that_only_tasks_name_are_known_each_once():
    assert unlisted_parts(NAMING) == ("P-9", "P-7")


def test_they_come_behind_those_listed():
    assert [part.number for part in with_named_parts(NAMING).parts] == ["P-1", "P-9", "P-7"]


def test_what_is_listed_stays_as_it_is():
    assert with_named_parts(LAMP) == LAMP
