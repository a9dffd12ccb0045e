"""The kinds of question a stranger's sheet can raise, each once; `Report` asks them.

A reader that meets a thing with two meanings returns `offered(KIND, ...)`, and reads it as soon
as the answers hold that kind; `Report.settle` asks for all cells of a column. What is about
rows, or needs evidence from elsewhere, is asked with `Report.ask`. A new kind of question is
an entry here and the reading of its answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stationflow.units import TimeUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One kind of question; what stands in braces is filled in when it is asked."""

    sentence: str
    choices: Mapping[str, str]  # what is meant in words, by the answer
    evidence: str = ""
    default: str | None = None  # None: it must be answered


LEAVE_ARROWS = "No, leave these arrows out"
DUPLICATES = {
    "lost-zero": "A zero was lost: the later one is {zero}",
    "keep-first": "Keep the first, leave the others out",
    "renumber": "Give the others new numbers",
    "same-task": "They are one task: take what the others add",
    "leave-out": "Leave all of them out",
}

QUESTIONS: Mapping[str, Question] = {
    # about rows
    "hidden-rows": Question(
        sentence="{rows} hidden in the sheet. To be read?",
        evidence="Hidden is not deleted; somebody may have filtered the sheet.",
        choices={"read": "Read", "leave-out": "Leave out"},
        default="read",
    ),
    "rows-without-number": Question(
        sentence="{rows} without a number, but filled like a {what}.",
        choices={
            "number": "Number them after the task above: 30-1, 30-2",
            "leave-out": "Leave them out",
        },
    ),
    "numbers": Question(
        sentence="No column holds task numbers. How should the tasks be numbered?",
        choices={"10": "10, 20, 30", "1": "1, 2, 3"},
        default="10",
    ),
    "duplicate": Question(
        sentence="{count} rows have the {what} number {spelled}. What should become of them?",
        evidence="They are called: {names}.",
        choices=DUPLICATES,
    ),
    "duplicates": Question(
        sentence="{count} {what} numbers stand in several rows. What should become of them?",
        choices=DUPLICATES,
    ),
    # about the cells of one column
    "date-numbers": Question(
        sentence="Numbers have become dates, like {forms}. Which is right?",
        evidence="A spreadsheet program makes a date of a number like 1-2.",
        choices={
            "month": "Month first: {month}",
            "day": "Day first: {day}",
            "leave-out": "Leave these rows out",
        },
    ),
    "time-unit": Question(
        sentence="In which unit are the times under {heading}?",
        choices={u.value: f"{u.label}: {{example}} is {{{u.value}}}" for u in TimeUnit},
    ),
    "weight-unit": Question(
        sentence="In which unit are the weights under {heading}?",
        choices={"g": "Grams: {example} g", "kg": "Kilograms: {example} kg"},
    ),
    "comma": Question(
        sentence="What does the comma in {example!r} part?",
        choices={",": "Decimals: {decimals}", ".": "Thousands: {thousands}"},
    ),
    "clock": Question(
        sentence="Times kept as clock time stand in the sheet, like {example}. What is meant?",
        evidence="Who types 1:15 for 75 seconds gets a cell of 1 hour 15 minutes.",
        choices={
            "m:ss": "Minutes and seconds: 1:15 is 75 s",
            "h:mm": "Hours and minutes: 1:15 is 4500 s",
        },
    ),
    "date-times": Question(
        sentence="Times have become dates, like {example}. What was typed?",
        choices={
            "day": "Day first: 1.5 became 1 May",
            "month": "Month first: 1.5 became 5 January",
            "leave-out": "Leave these times empty",
        },
    ),
    # about lists of task numbers
    "typo": Question(
        sentence="There is no task {token!r}, which {cells} names. Which task is meant?",
        choices={
            "as-it-stands": "Keep {token!r}: a finding of the product until a task is called so",
            "leave-out": "None: leave the arrow out",
        },
    ),
    "typos": Question(
        sentence="{count} numbers in the lists are no tasks. What should become of them?",
        evidence="Correct them in the sheet to have them read; the report names each cell.",
        choices={
            "as-it-stands": "Keep them: findings of the product until there are such tasks",
            "leave-out": "Leave these arrows out",
        },
    ),
    "zeros": Question(
        sentence="Numbers that differ by leading zeros only stand in {cells}, like {example}. "
        "Are they the same?",
        choices={"match": "Yes, zeros were lost", "leave-out": LEAVE_ARROWS},
    ),
    "dates": Question(
        sentence="Task numbers have become dates in {cells}, where {example} may have stood. "
        "What was meant?",
        choices={
            "list": "A list: both tasks",
            "range": "A range: all tasks from one to the other",
            "leave-out": "Leave these arrows out",
        },
    ),
    "joined": Question(
        sentence="Numbers that are no task, but could be several, stand in {cells}: {example}. "
        "Are they?",
        choices={"split": "Yes, part them", "leave-out": LEAVE_ARROWS},
    ),
}
