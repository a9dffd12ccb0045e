"""How instructions are worded. Expected remarks are requirements or worked out by hand."""

from dataclasses import replace

import pytest
from sample_station import TASKS, fan, long_task

from stationflow.cards import check_cards
from stationflow.cards.contents.style_checks import style_notes
from stationflow.model import Check, Severity, Step, Task, ToolUse


def said(task):
    return " ".join(f.message for f in style_notes(task))


def of_step(text, key_point=""):
    return said(Task(number="1", steps=(Step(text=text, key_point=key_point),)))


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        ("The cover is pressed on", "begin with the verb"),
        ("Pressing the cover on", "begin with the verb"),
        ("Press the cover on, then turn the unit", "more than one action"),
        ("Press the cover on. Turn the unit", "more than one action"),
        ("Ensure the cover is on", '"Ensure"'),
        ("Press the cover on properly", '"properly"'),
        ("Add grease as needed", '"as needed"'),
    ],
)
def test_words_that_make_an_instruction_weak_are_named(text, remark):
    assert remark in of_step(text)


@pytest.mark.parametrize(
    "text", ["Press the cover on", "Bring the unit to the jig", "Drive 4 screws, 1.2 Nm", ""]
)
def test_plain_instructions_are_left_alone(text):
    assert of_step(text) == ""


# Graupp and Wrona, The TWI Workbook, pp. 58-62: 5 to 7 important steps, 3 to 5 key points.
@pytest.mark.parametrize(("steps", "is_said"), [(7, False), (8, True)])
def test_more_than_seven_steps_are_named(steps, is_said):
    assert ("important steps" in said(long_task(steps))) is is_said


@pytest.mark.parametrize(("points", "is_said"), [(5, False), (6, True)])
def test_more_than_five_key_points_are_named(points, is_said):
    text = "; ".join("arrow up" for _ in range(points))
    assert ("key points" in of_step("Turn it", text)) is is_said


@pytest.mark.parametrize(
    ("limit", "is_said"),
    [
        ("0.10 or less", True),
        ("2 to 3", True),
        ("0.10 ohm", False),
        ("0", False),
        ("no gap", False),
    ],
)
def test_numbers_without_a_unit_are_named(limit, is_said):
    assert ("no unit" in said(Task(number="1", checks=(Check(text="x", limit=limit),)))) is is_said


def test_a_setting_without_a_unit_is_named():
    assert "1.2" in said(Task(number="1", tools=(ToolUse(tool="Driver", setting="1.2"),)))


def test_a_task_has_one_note_at_most():
    task = Task(number="1", steps=tuple(Step(text="The cover properly") for _ in range(9)))
    assert [f.severity for f in style_notes(task)] == [Severity.NOTE]


def test_a_long_number_is_read_at_once():
    # A careless pattern takes for ever on this.
    assert "no unit" not in said(
        Task(number="1", checks=(Check(text="x", limit="1" * 5000 + "!"),))
    )


def test_the_notes_stand_in_the_self_check():
    task = replace(TASKS[0], steps=(Step(text="The base plate"),))
    assert "text-style" in [f.code for f in check_cards(fan(tasks=(task,)))]
