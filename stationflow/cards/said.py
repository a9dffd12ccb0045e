"""What a card says in the same words on paper, as a web page and as a workbook."""

from collections.abc import Sequence

from stationflow.cards.card import Card, CardCheck, CardPart, CardStep, CardTask

OUT_OF_DATE = "OUT OF DATE"
WARNING = "Do not work by this card. Ask for the current version."
COLUMNS = (("Important step", "text"), ("Key point", "key_point"), ("Reason", "reason"))
"""Heads of the columns of steps, in English, and the fields that stand below them."""


def band(card: Card) -> tuple[str, str]:
    """Return the mark and the warning of a card that is out of date; both empty: it is not."""
    return (card.say(card.mark), card.say(WARNING)) if card.mark == OUT_OF_DATE else ("", "")


def mark_of_all(cards: Sequence[Card]) -> str:
    """Return the mark of a line's cards together: out of date as soon as one of them is."""
    return next((card.mark for card in cards if card.mark == OUT_OF_DATE), cards[0].mark)


def tags(card: Card) -> list[str]:
    """Return what stands framed in the header."""
    said = []
    if not card.has_work:
        said.append(card.say("Units only wait here"))
    if card.operators > 1:
        said.append(card.say("{count} operators work here", count=card.operators))
    if card.copies > 1:
        said.append(card.say("{count} stations side by side", count=card.copies))
    if card.mark and card.mark != OUT_OF_DATE:
        said.append(card.say(card.mark))
    return said


def heading_note(card: Card, task: CardTask) -> str:
    """Return what stands behind a task's name: its number, and whether a machine does it."""
    phrase = "task {task}, machine time" if task.is_machine else "task {task}"
    return card.say(phrase, task=task.task)


def model_times(card: Card, times: tuple[str, ...]) -> list[str]:
    """Return the times of the models in words: "A: 6.4 s"."""
    return [f"{m}: {t} {card.unit}" for m, t in zip(card.models, times, strict=False)]


def columns_in_use(steps: Sequence[CardStep]) -> list[tuple[str, str]]:
    """Return head and field of the columns in which a step says something."""
    return [(h, name) for h, name in COLUMNS if any(getattr(step, name) for step in steps)]


def step_text(step: CardStep, name: str) -> str:
    """Return a field of a step; its time stands behind what is done."""
    return f"{step.text} ({step.time})" if name == "text" and step.time else getattr(step, name)


def check_words(card: Card, check: CardCheck) -> tuple[list[str], str, str]:
    """Return what is checked with its limit, how, and what is done if it fails."""
    what = [card.say("Check: {text}", text=check.text)]
    what += [card.say("Limit: {limit}", limit=check.limit)] if check.limit else []
    record = card.say("record: {where}", where=check.record) if check.record else ""
    how = " · ".join(word for word in (check.method, check.frequency, record) if word)
    fails = card.say("If it fails: {reaction}", reaction=check.reaction) if check.reaction else ""
    return what, how, fails


def amount(part: CardPart) -> str:
    """Return how many of a part one unit takes, with its unit."""
    return f"{part.quantity} {part.unit}".strip()


def supply(card: Card) -> list[tuple[str, tuple[str, ...], list[tuple[str, ...]]]]:
    """Return parts in order of use and tools, as far as there are any: title, heads, rows."""
    parts = [(amount(p), p.name or p.number, p.number, p.container) for p in card.parts]
    tools = [(t.tool, t.setting) for t in card.tools]
    tables: tuple[tuple[str, tuple[str, ...], Sequence[tuple[str, ...]]], ...] = (
        ("Parts, in order of use", ("Quantity", "Part", "Part number", "Container"), parts),
        ("Tools and settings", ("Tool", "Setting"), tools),
    )
    return [
        (card.say(title), tuple(card.say(head) for head in heads), list(rows))
        for title, heads, rows in tables
        if rows
    ]


def load_words(card: Card) -> str:
    """Return what stands above the time bar."""
    return card.say("Work {work}, {rest}", work=f"{card.work} {card.unit}", rest=card.bar.rest)
