"""How instructions are worded: checks of style on the texts of a task, one note for each task.

After the job breakdown of training within industry: 5 to 7 important steps, 3 to 5 key points
each (Graupp and Wrona, The TWI Workbook, pp. 58-62). Words are checked in English only.
"""

import re
from collections.abc import Iterator

from stationflow.model import Finding, Step, Task, note

MOST_STEPS = 7
MOST_KEY_POINTS = 5
MOST_SAID = 4
"""Remarks on one task that are told; of more only the number."""
NO_VERB = re.compile(
    "the|a|an|this|that|these|those|it|its|you|your|we|there|all|each|every|both|one|should|must|"
    "will|shall|please"
)
"""First words that are no verb."""
VERB_IN_ING = re.compile("(?:b|st|w)?ring|s[wl]ing|cling|ping|ming|sting")
VAGUE = re.compile(
    r"\b(ensure|make sure|be careful|carefully|properly|correctly|adequate(?:ly)?|"
    r"appropriate(?:ly)?|sufficient(?:ly)?|as needed|as required|as necessary|"
    r"if necessary|if needed|when needed)\b",
    re.IGNORECASE,
)
"""Words that leave to the reader what is meant."""
SECOND_ACTION = re.compile(r"[.;]\s+[A-Za-z]|,?\s(?:and )?then\s", re.IGNORECASE)
NUMBER_ONLY = re.compile(
    r"(?:[<>=≤≥±~\s]|[\d.,]|\bto\b|\bor (?:less|more)\b|\bat (?:most|least)\b|"
    r"\bmax(?:imum)?\b\.?|\bmin(?:imum)?\b\.?|\bbetween\b|\band\b|[-\u2013])+",
    re.IGNORECASE,
)
"""A value of numbers and words of comparison only: its unit is missing."""


def style_notes(task: Task) -> Iterator[Finding]:
    """Yield one note on how the texts of a task are worded, where there is something to say."""
    said = list(_remarks(task))
    if said:
        more = f"; and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
        yield note("text-style", f"Task {task.number}", "; ".join(said[:MOST_SAID]) + more + ".")


def _remarks(task: Task) -> Iterator[str]:
    """Yield what could be said better in a task."""
    if len(task.steps) > MOST_STEPS:
        yield f"it has {len(task.steps)} important steps, {MOST_STEPS} are easy to learn"
    for place, step in enumerate(task.steps, start=1):
        yield from (f"step {place} {remark}" for remark in _of_step(step))
    for check in task.checks:
        if vague := VAGUE.search(f"{check.text} {check.limit}"):
            yield f'the check "{_short(check.text)}" says "{vague[1]}": say what is measured'
        if _is_bare(check.limit):
            yield f'the limit "{check.limit}" has no unit'
    for tool in task.tools:
        if _is_bare(tool.setting):
            yield f'the setting "{tool.setting}" of {_short(tool.tool)} has no unit'


def _of_step(step: Step) -> Iterator[str]:
    """Yield what could be said better in one step."""
    first = re.match(r"\w+", step.text.strip())
    word = first[0] if first else ""
    if is_no_verb(word):
        yield f'begins with "{word}": begin with the verb'
    if SECOND_ACTION.search(step.text.strip()):
        yield "holds more than one action: make them two steps"
    if vague := VAGUE.search(f"{step.text} {step.key_point}"):
        yield f'says "{vague[1]}": say what is done or measured'
    points = [p for p in re.split(r";|\n|\.\s+", step.key_point) if p.strip()]
    if len(points) > MOST_KEY_POINTS:
        yield f"has {len(points)} key points, {MOST_KEY_POINTS} can be kept in mind"


def is_no_verb(word: str) -> bool:
    """Return whether an English word does not tell what to do.

    >>> [is_no_verb(word) for word in ("The", "Pressing", "Press", "Bring")]
    [True, True, False, False]
    """
    low = word.lower()
    is_gerund = low.endswith("ing") and len(low) > 4 and not VERB_IN_ING.fullmatch(low)
    return is_gerund or bool(NO_VERB.fullmatch(low))


def _is_bare(value: str) -> bool:
    """Return whether a value is a number without its unit; 0 needs none."""
    text = value.strip()
    return bool(re.search(r"[1-9]", text)) and bool(NUMBER_ONLY.fullmatch(text))


def _short(text: str) -> str:
    """Return the beginning of a text, to name it by."""
    return text if len(text) <= 40 else text[:39].rstrip() + "…"
