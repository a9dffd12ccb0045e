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
    ),
    "struck-rows": Question(
        sentence="{rows} struck out in the sheet. To be read?",
        evidence="Somebody drew a line through the text; it may have been taken out.",
        choices={"read": "Read", "leave-out": "Leave out"},
    ),
    "struck-cells": Question(
        sentence="{cells} struck out, in rows that are not. To be read?",
        evidence="Somebody drew a line through the text; it may have been taken out.",
        choices={"read": "Read", "leave-out": "Leave them empty"},
    ),
    "summaries": Question(
        sentence="Do these rows only hold others together, like sums or groups: {numbers}?",
        choices={
            "leave-out": "Yes: {example} and the like are no tasks",
            "tasks": "No: they are tasks with times of their own",
        },
    ),
    "levels": Question(
        sentence="The list has levels ({heading}). Do quantities count in the part above?",
        choices={
            "multiply": "Yes: row {row} is {example} in each of {factor}, {product} in one product",
            "as-it-stands": "No: row {row} is {example} in one product",
        },
    ),
    "other-table": Question(
        sentence="Row {row} begins a table with other headings. What of the rows below?",
        choices={
            "leave-out": "Leave them out; take them in by themselves",
            "read": "Read them like those above",
        },
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
    # about what a column holds
    "which-column": Question(
        sentence="Which column is {what}? {columns} could be it.",
        choices={"leave-out": "None of them"},
    ),
    "arrow-column": Question(
        sentence="Column {heading} is not known, but holds task numbers. What are they?",
        choices={
            "predecessors": "Predecessors: {example} before {own}",
            "followers": "Followers: {own} before {example}",
            "leave-out": "Something else: left out",
        },
    ),
    "hidden-column": Question(
        sentence="Column {heading} is hidden in the sheet. Is it to be read as {what}?",
        evidence="Hidden columns are often old ones.",
        choices={"read": "Read it: {example}", "leave-out": "Leave it out"},
    ),
    # about the cells of one column
    "rate": Question(
        sentence="{heading} says how many are made in {period}. Is that the time of a task?",
        choices={
            "divide": "Yes: {example} in {period} is {time} for one",
            "leave-out": "No: {instead}",
        },
    ),
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
    "unit-column": Question(
        sentence="Column {other} names a unit for each row. Is it the unit of the times?",
        choices={
            "each-row": "Yes: {example} is {theirs}",
            "as-it-stands": "No, all are in {stated}: {example} is {ours}",
        },
    ),
    "minutes-seconds": Question(
        sentence="Which parts have the times under {heading}?",
        choices={
            "m,ss": "Minutes and seconds: {example} is {parts}",
            "min": "Minutes with decimals: {example} is {decimals}",
        },
    ),
    "factor": Question(
        sentence="What do the numbers under {heading} do to the {what} beside them?",
        choices={
            "multiply": "Multiply: {example} x {factor} = {product}",
            "divide": "Divide: {example} / {factor} = {quotient}",
            "add-percent": "Add so many per cent: {example} + {percent} % = {more}",
            "times-percent": "Take so many per cent: {percent} % of {example} = {product}",
            "as-it-stands": "Nothing: {example} stays {example}",
        },
    ),
    "named-base": Question(
        sentence="Rows name a number of products, like {said!r}. For how many are their times?",
        choices={
            "divide": "For so many: {example} / {base} = {quotient} for one",
            "as-it-stands": "For one: {example}",
            "multiply": "So many times for one: {example} x {base} = {product}",
        },
    ),
    "base": Question(
        sentence="Are the {what} under {heading} for {base} products, as {said!r} may mean?",
        choices={
            "divide": "Yes, for {base}: {example} / {base} = {quotient} for one",
            "as-it-stands": "No, for one: {example}",
            "multiply": "No, each number means {base} times as much: {product}",
        },
    ),
    "percent": Question(
        sentence="{said!r} speaks of {percent} %. What of the {what} under {heading}?",
        choices={
            "as-it-stands": "Counted in already: {example} stays {example}",
            "times-percent": "Take so many per cent: {percent} % of {example} = {product}",
            "add-percent": "Add so many per cent: {example} + {percent} % = {more}",
        },
    ),
    "lot": Question(
        sentence="The times under {heading} are counted by {lot!r}. Are they for one product?",
        choices={
            "as-it-stands": "Yes, for one product: {example}",
            "leave-out": "No: the tasks come without time",
        },
    ),
    "weight-unit": Question(
        sentence="In which unit are the weights under {heading}?",
        choices={"g": "Grams: {example} g", "kg": "Kilograms: {example} kg"},
    ),
    "comma": Question(
        sentence="Which sign stands before decimals? {example!r} has two meanings.",
        choices={",": "The comma: it is {comma}", ".": "The point: it is {point}"},
    ),
    "shown-thousands": Question(
        sentence="Numbers under {heading} are shown in thousands, like {example}. What is meant?",
        evidence="The cell holds {kept}; its number format shows {example}.",
        choices={"shown": "What is shown: {example}", "kept": "What the cell holds: {kept}"},
    ),
    "clock": Question(
        sentence="Times kept as clock time stand in the sheet, like {example}. What is meant?",
        evidence="Who types 1:15 for 75 seconds may get a cell of 1 hour 15 minutes.",
        choices={
            "m:ss": "Minutes and seconds: {example} is {short} s",
            "h:mm": "Hours and minutes: {example} is {long} s",
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
    "words": Question(
        sentence="Words stand beside task numbers in {cells}: {example!r}. Are the numbers meant?",
        choices={"take": "Yes, the words say nothing more", "leave-out": LEAVE_ARROWS},
    ),
    "joined": Question(
        sentence="Numbers that are no task, but could be several, stand in {cells}: {example}. "
        "Are they?",
        choices={"split": "Yes, part them", "leave-out": LEAVE_ARROWS},
    ),
}
