"""Checks on what the cards will say, before they are printed."""

from collections.abc import Iterator

from stationflow.cards.fonts import missing_characters
from stationflow.model import Finding, Product, Task, warning
from stationflow.units import milliseconds, show_time


def check_cards(product: Product) -> tuple[Finding, ...]:
    """Return what is missing or does not fit on the cards of a product.

    Looked at are the times of important steps against the task's time, the
    pictures named, limit and reaction plan of every check, and characters that
    would be printed as empty boxes.
    """
    pictures = {picture.name for picture in product.pictures}
    return (
        *(
            finding
            for task in product.tasks
            for look in (_step_times, _checks)
            for finding in look(product, task)
        ),
        *(f for task in product.tasks for f in _pictures(task, pictures)),
        *_characters(product),
    )


def has_step_times(task: Task) -> bool:
    """Return whether all steps are timed and add up to the task's time."""
    times = [step.time_s for step in task.steps]
    if task.time_s is None or not times or any(time is None for time in times):
        return False
    return sum(milliseconds(t) for t in times if t is not None) == milliseconds(task.time_s)


def _step_times(product: Product, task: Task) -> Iterator[Finding]:
    """Name a task whose steps do not add up to its time."""
    times = [step.time_s for step in task.steps]
    if all(time is None for time in times) or has_step_times(task):
        return
    untimed = sum(time is None for time in times)
    if untimed:
        said = f"{untimed} of {len(times)} important steps have no time."
    else:
        total = sum(milliseconds(t) for t in times if t is not None) / 1000
        said = (
            f"the important steps add up to {show_time(total, product.time_unit)}, "
            f"the task takes {show_time(task.time_s, product.time_unit)}."
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


def _pictures(task: Task, known: set[str]) -> Iterator[Finding]:
    """Name pictures that the product does not have."""
    if task.picture and task.picture not in known:
        yield _missing(f"Task {task.number}", task.picture)
    for place, step in enumerate(task.steps, start=1):
        if step.picture and step.picture not in known:
            yield _missing(f"Task {task.number}, step {place}", step.picture)


def _characters(product: Product) -> Iterator[Finding]:
    """Name characters no font has, with the task or part they stand in."""
    named: list[tuple[str, tuple[str, ...]]] = []
    named += [("Product", (product.name, product.code, product.author))]
    named += [(f"Line {line.name}", (line.label,)) for line in product.lines]
    named += [(f"Task {task.number}", _texts(task)) for task in product.tasks]
    named += [(f"Part {p.number}", (p.number, p.name, p.unit, p.container)) for p in product.parts]
    for where, texts in named:
        missing = missing_characters(texts)
        if missing:
            yield warning("glyph-missing", where, f"no font here has the characters {missing}.")


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


def _missing(where: str, picture: str) -> Finding:
    """Say that a picture is not there."""
    return warning("picture-missing", where, f'the picture "{picture}" is not among the pictures.')
