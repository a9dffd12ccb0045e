"""Checks on what the cards will say, before they are printed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from stationflow.cards.card import Card
from stationflow.cards.contents.style_checks import style_notes
from stationflow.cards.fonts import FOLDER, missing_characters
from stationflow.cards.picture_files import readable_picture
from stationflow.model import Finding, Product, Task, error, warning
from stationflow.model.references import Thing, unknown_names
from stationflow.units import show_time

MOST_NAMED = 40
"""Characters named in one finding."""


def check_cards(product: Product) -> tuple[Finding, ...]:
    """Return what is missing or does not fit on the cards of a product.

    Looked at are the times of important steps against the task's time, the
    pictures named, limit and reaction plan of every check, characters that
    would be printed as empty boxes, and how the texts are worded.
    """
    return (
        *(
            finding
            for task in product.tasks
            for look in (_step_times, _checks)
            for finding in look(product, task)
        ),
        *(finding for _, finding in unknown_names(product, [Thing.PICTURE])),
        *_characters(product),
        *(f for task in product.tasks for f in style_notes(task)),
    )


def check_pictures(cards: Iterable[Card], pictures: Mapping[str, bytes]) -> tuple[Finding, ...]:
    """Return a finding for each picture of the cards that is there but cannot be printed."""
    shown = dict.fromkeys(
        (task.task, picture.picture)
        for card in cards
        for task in card.tasks
        for picture in task.pictures
        if picture.picture in pictures
    )
    broken = {name for name in {n for _, n in shown} if readable_picture(pictures[name]) is None}
    return tuple(
        warning(
            "picture-missing",
            f"Task {task}",
            f'the picture "{name}" cannot be read: it is cut off or damaged, or no PNG or JPEG. '
            "An empty frame with its name is printed.",
            "Save the picture as PNG or JPEG and add it again.",
        )
        for task, name in shown
        if name in broken
    )


def check_stored_pictures(product: Product, pictures: Mapping[str, bytes]) -> tuple[Finding, ...]:
    """Return a finding for each task whose picture is listed and cannot be read any more."""
    listed = {picture.name for picture in product.pictures}
    return tuple(
        error(
            "picture-missing",
            f"Task {task.number}",
            f'the picture "{name}" is damaged or gone from where it was kept; its frame is '
            "printed empty.",
            "Add the picture again under this name.",
        )
        for task in product.tasks
        for name in dict.fromkeys((task.picture, *(step.picture for step in task.steps)))
        if name in listed and name not in pictures
    )


def has_step_times(task: Task) -> bool:
    """Return whether all steps are timed and add up to the task's time."""
    times = [step.time_ms for step in task.steps]
    return None not in times and bool(times) and _sum(times) == task.time_ms


def _sum(times: Sequence[int | None]) -> int:
    """Return the sum of the times that are known, in ms."""
    return sum(time or 0 for time in times)


def _step_times(product: Product, task: Task) -> Iterator[Finding]:
    """Name a task whose steps do not add up to its time."""
    times = [step.time_ms for step in task.steps]
    if all(time is None for time in times) or has_step_times(task):
        return
    untimed = sum(time is None for time in times)
    if untimed:
        said = f"{untimed} of {len(times)} important steps have no time."
    else:
        said = (
            f"the important steps add up to {show_time(_sum(times), product.time_unit)}, "
            f"the task takes {show_time(task.time_ms, product.time_unit)}."
        )
    yield warning("step-times-differ", f"Task {task.number}", said)


def _checks(product: Product, task: Task) -> Iterator[Finding]:
    """Name checks that do not say what is accepted, or what to do."""
    del product
    for check in task.checks:
        if not check.limit.strip():
            yield warning(
                "check-without-limit",
                f"Task {task.number}",
                f'the check "{check.text}" has no limit.',
            )
        if not check.reaction.strip():
            yield warning(
                "check-without-reaction",
                f"Task {task.number}",
                f'the check "{check.text}" does not say what happens when it fails.',
            )


def _characters(product: Product) -> Iterator[Finding]:
    """Name characters no font has, with the task or part and the text they stand in."""
    named: list[tuple[str, tuple[str, ...]]] = []
    named += [("Product", (product.name, product.code, product.author))]
    named += [(f"Line {line.name}", (line.label,)) for line in product.lines]
    named += [(f"Model {m.name}", (m.title or m.name,)) for m in product.models]
    named += [(f"Task {task.number}", _texts(task)) for task in product.tasks]
    named += [(f"Part {p.number}", (p.number, p.name, p.unit, p.container)) for p in product.parts]
    for where, texts in named:
        missing = missing_characters(texts)
        if missing:
            first = next(text for text in texts if set(text) & set(missing))
            yield warning(
                "glyph-missing",
                where,
                f'no font here has the characters {missing[:MOST_NAMED]} of "{_beginning(first)}"; '
                "they would be printed as boxes.",
                f"Install a font that has these characters, or put its file into the folder that "
                f"{FOLDER} names.",
            )


def _beginning(text: str) -> str:
    """Return the beginning of a text, to name it by."""
    return text if len(text) <= 60 else text[:59].rstrip() + "…"


def _texts(task: Task) -> tuple[str, ...]:
    """Return all words of a task that are printed."""
    return (
        task.number,
        task.name,
        *(text for s in task.steps for text in (s.text, s.key_point, s.reason)),
        *(
            text
            for c in task.checks
            for text in (c.text, c.limit, c.method, c.frequency, c.record, c.reaction)
        ),
        *(text for t in task.tools for text in (t.tool, t.setting)),
        *(caution.text for caution in task.cautions),
    )
