"""Lists of task numbers as strangers write them: "10;20", "10-30", "op. 10 and 20", 1.2."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from stationflow.files.foreign.foreign_cells import (
    BLANKS,
    is_empty,
    plain_number_of,
    typed_forms,
    without_result,
)
from stationflow.files.foreign.foreign_sheet import DateCell, RawCell, ShownNumber, stood
from stationflow.files.foreign.heading_words import DASHES, NOTHING_WORDS
from stationflow.files.foreign.import_report import Outcome
from stationflow.model.schema.cells import tidy

LONGEST_RANGE = 1_000  # tasks that one range may name
MOST_ITEMS = 5_000  # task numbers in one cell
PARTED = re.compile(
    r"[,/\s&+|]+(?:(?:and|und|et|y|e|i|en|oraz)\s+)?|\s+(?:and|und|et|oraz)\s+", re.IGNORECASE
)
SEMICOLON = re.compile(r"[;\n\u3001\uff1b\uff0c]+")
RANGE_WORDS = re.compile(r"\s*(?:-|\.\.\.?|\bto\b|\bbis\b|\bbis zu\b|\bà\b|\bdo\b|~)\s*", re.I)
PREFIX = re.compile(r"(?:tasks?|op\.?|operation|nr\.?|no\.?|pos\.?|ag|vorgang|#|step)\s*", re.I)
# How project programs write that one task starts with the end of another, two days later.
RELATION = re.compile(
    r"(?<=\w)(?:FS|SS|FF|SF|EA|AA|EE|AE)(?:\s*[+-]\s*[\d.,]+\s*(?:[dhtw%]|min)?)?(?=$|[;,/\s])"
)


@dataclass(slots=True)
class NumberBook:
    """The task numbers that exist, in listed order, and how they may be met."""

    order: list[str] = field(default_factory=list)
    place: dict[str, int] = field(default_factory=dict)
    folded: dict[str, list[str]] = field(default_factory=dict)
    bare: dict[str, list[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, numbers: Iterable[str]) -> "NumberBook":
        """Return the book of some numbers; those met again do not count."""
        book = cls()
        for number in numbers:
            if number not in book.place:
                book.place[number] = len(book.order)
                book.order.append(number)
                book.folded.setdefault(folded(number), []).append(number)
                book.bare.setdefault(_bare(number), []).append(number)
        return book


def folded(number: str) -> str:
    """Return a number without case, blanks and kind of dash.

    >>> folded("A \u2013 10")
    'a-10'
    """
    return re.sub(r"\s+", "", re.sub(rf"[{DASHES}]", "-", BLANKS.sub(" ", number))).casefold()


def _bare(number: str) -> str:
    """Return a folded number without leading zeros."""
    return folded(number).lstrip("0") or "0"


@dataclass(frozen=True, slots=True)
class ListAnswers:
    """What the engineer said about lists with two meanings; empty: not said yet.

    Attributes
    ----------
    zeros
        "match": "12" means the task "0012".
    dates
        "list" or "range": what "1-2", which became a date, means.
    joined
        "split": 1020 means 10 and 20.
    """

    zeros: str = ""
    dates: str = ""
    joined: str = ""


@dataclass(frozen=True, slots=True)
class ListNote:
    """One thing that was noted about a list."""

    severity: Outcome
    code: str
    message: str
    hint: str = ""


@dataclass(slots=True)
class ListReading:
    """The numbers that a cell lists, and what was noted.

    Attributes
    ----------
    needs
        Codes of the answers that are missing, each with an example.
    """

    numbers: list[str] = field(default_factory=list)
    notes: list[ListNote] = field(default_factory=list)
    needs: dict[str, str] = field(default_factory=dict)

    def note(self, severity: Outcome, code: str, message: str, hint: str = "") -> None:
        """Note something."""
        self.notes.append(ListNote(severity, code, message, hint))

    def add(self, *numbers: str) -> None:
        """Add numbers."""
        self.numbers += numbers


def read_list(raw: RawCell, book: NumberBook, answers: ListAnswers) -> ListReading:
    """Read the task numbers that a cell lists."""
    reading = ListReading()
    if is_empty(raw):
        return reading
    if isinstance(raw, str) and raw in book.place:  # the usual case, told quickly
        reading.add(raw)
        return reading
    if refusal := without_result(raw):
        reading.note(Outcome.ERROR, refusal.code, refusal.message, refusal.hint)
    elif isinstance(raw, DateCell):
        _read_date(raw, book, answers, reading)
    elif isinstance(raw, bool):
        reading.note(Outcome.ERROR, "not-a-number", "It must be a list of task numbers.")
    elif isinstance(raw, ShownNumber) and raw.shown in book.place:
        reading.add(raw.shown)
    elif isinstance(raw, int | float | ShownNumber):
        _read_number_cell(plain_number_of(raw), book, answers, reading)
    else:
        _read_words(str(raw), book, answers, reading)
    unique = list(dict.fromkeys(reading.numbers))
    if len(unique) < len(reading.numbers):
        reading.note(Outcome.CHANGED, "listed-twice", "A number stands twice; it counts once.")
    reading.numbers = unique
    return reading


def _read_date(
    cell: DateCell, book: NumberBook, answers: ListAnswers, reading: ListReading
) -> None:
    """Turn "1-2", of which a spreadsheet program made a date, back into task numbers."""
    forms = typed_forms(cell)
    for form in forms:
        if form in book.place:  # there is a task "1-2"
            reading.add(form)
            reading.note(Outcome.CHANGED, "date", f"The date was turned back into task {form}.")
            return
    pairs = [form.split("-") for form in forms]
    known = [pair for pair in pairs if all(_find(p, book) for p in pair)]
    if not known:
        message = "A spreadsheet program made a date of it, and no tasks fit what may have stood."
        reading.note(Outcome.ERROR, "date", message, "Enter the task numbers as text.")
        return
    first, last = sorted((_sure(p, book) for p in known[0]), key=lambda n: book.place[n])
    if not answers.dates:
        reading.needs["dates"] = f"{first} and {last}"
        message = f"A spreadsheet program made a date of {known[0][0]}-{known[0][1]}."
        reading.note(Outcome.OFFERED, "date", message, "Say whether it is a list or a range.")
    elif answers.dates == "list":
        reading.add(first, last)
        message = f"The date was turned back into {first} and {last}."
        reading.note(Outcome.CHANGED, "date", message)
    elif answers.dates == "range":
        _add_range(first, last, book, reading)


def _sure(token: str, book: NumberBook) -> str:
    """Return a number that is known to be found."""
    found = _find(token, book)
    assert found is not None
    return found


def _read_number_cell(
    text: str, book: NumberBook, answers: ListAnswers, reading: ListReading
) -> None:
    """Read a cell that holds one number: 10, or 1.2 where "1,2" was typed."""
    if text in book.place:
        reading.add(text)
        return
    whole, point, decimals = text.partition(".")
    if point and whole in book.place:
        # 10.2 may have been "10,20": zeros at the end are lost in a number.
        behind = [decimals + "0" * n for n in range(4) if decimals + "0" * n in book.place]
        # Of several, the one with as many digits as the number before it.
        alike = [number for number in behind if len(number) == len(whole)]
        behind = alike or behind
        if len(behind) == 1:
            reading.add(whole, behind[0])
            message = f"The number {text} was read as the two tasks {whole} and {behind[0]}."
            hint = "Enter lists as text, parted by semicolons, if this is not meant."
            reading.note(Outcome.CHANGED, "number-as-list", message, hint)
            return
    splits = _splits(text, book) if not point else []
    if len(splits) == 1 and len(splits[0]) > 1:
        together = " and ".join(splits[0])
        if answers.joined == "split":
            reading.add(*splits[0])
            reading.note(Outcome.CHANGED, "joined-numbers", f"Read as {together}.")
            return
        if not answers.joined:
            reading.needs["joined"] = f"{text}: {together}"
            message = f"There is no task {text}; a spreadsheet program may have joined {together}."
            reading.note(Outcome.OFFERED, "joined-numbers", message, "Say whether it did.")
            return
    _read_item(text, book, answers, reading)


def _splits(text: str, book: NumberBook) -> list[list[str]]:
    """Return the ways to part digits of equal length into known numbers."""
    return [
        pieces
        for size in range(2, len(text) // 2 + 1)
        if len(text) % size == 0
        for pieces in [[text[i : i + size] for i in range(0, len(text), size)]]
        if len(text) < 40 and all(piece in book.place for piece in pieces)
    ]


def _read_words(raw: str, book: NumberBook, answers: ListAnswers, reading: ListReading) -> None:
    """Read a list in words."""
    text = tidy(BLANKS.sub(" ", raw))
    if text in book.place:
        reading.add(text)
        if text != raw:
            reading.note(Outcome.CHANGED, "blanks-at-the-ends", "Blanks were taken off.")
        return
    if text.casefold() in NOTHING_WORDS or (text == "0" and "0" not in book.place):
        reading.note(Outcome.LEFT_OUT, "no-value", f"{text!r} says that there is none.")
        return
    without = RELATION.sub("", text)
    if without != text:
        message = "Kinds of relation and lags behind the numbers were left out."
        reading.note(Outcome.CHANGED, "relation", message, "Enter lags on the Tasks page.")
    pieces: list[str] = []
    for part in filter(None, map(tidy, SEMICOLON.split(without))):
        is_whole = _find(part, book) or _is_range(part, book)
        pieces += [part] if is_whole else filter(None, map(tidy, PARTED.split(part)))
    if len(pieces) > MOST_ITEMS:
        message = f"It lists {len(pieces)} items; at most {MOST_ITEMS} are read."
        reading.note(Outcome.ERROR, "list-too-long", message, "Shorten the list.")
        return
    for piece in _with_loose_dashes(pieces):
        _read_item(piece, book, answers, reading)


def _with_loose_dashes(pieces: list[str]) -> list[str]:
    """Join "10", "-", "30" that blanks have parted; leave out the word "op." alone."""
    joined: list[str] = []
    for piece in pieces:
        if PREFIX.fullmatch(piece):
            continue  # "op." before a number
        if joined and (
            re.fullmatch(rf"[-{DASHES}]", piece) or re.search(rf"[-{DASHES}]$", joined[-1])
        ):
            joined[-1] += piece
        else:
            joined.append(piece)
    return joined


def _find(token: str, book: NumberBook) -> str | None:
    """Return the number a piece of text means, but for case, blanks and dashes; or None."""
    if token in book.place:
        return token
    alike = book.folded.get(folded(token), [])
    return alike[0] if len(alike) == 1 else None


def _is_range(text: str, book: NumberBook) -> bool:
    """Return whether a text is a range between two known numbers."""
    return _ends(text, book) is not None


def _ends(text: str, book: NumberBook) -> tuple[str, str] | None:
    """Return both ends of a range of known numbers; None: it is none."""
    plain = re.sub(rf"[{DASHES}]", "-", text)
    for match in RANGE_WORDS.finditer(plain):
        first = _find(tidy(PREFIX.sub("", plain[: match.start()])), book)
        last = _find(tidy(PREFIX.sub("", plain[match.end() :])), book)
        if first is not None and last is not None:
            return first, last
    return None


def _add_range(first: str, last: str, book: NumberBook, reading: ListReading) -> None:
    """Add all numbers from one to another, in listed order."""
    low, high = sorted((book.place[first], book.place[last]))
    if high - low >= LONGEST_RANGE:
        message = f"The range names {high - low + 1} tasks; at most {LONGEST_RANGE} are read."
        reading.note(Outcome.ERROR, "list-too-long", message, "List the numbers one by one.")
        return
    numbers = book.order[low : high + 1]
    reading.add(*numbers)
    shown = "; ".join(numbers) if len(numbers) < 12 else f"{len(numbers)} tasks"
    message = f"Read as all tasks listed from {first} to {last}: {shown}."
    reading.note(Outcome.CHANGED, "range", message, "List the numbers one by one if not meant.")


def _read_item(item: str, book: NumberBook, answers: ListAnswers, reading: ListReading) -> None:
    """Read one piece of a list."""
    found = _find(item, book)
    if found is None and (ends := _ends(item, book)):
        _add_range(*ends, book, reading)
        return
    if found is not None:
        reading.add(found)
        if found != item:
            reading.note(Outcome.CHANGED, "number-spelling", f"{item!r} was read as task {found}.")
        return
    bare = tidy(PREFIX.sub("", item, count=1))
    if bare != item and (found := _find(bare, book)) is not None:
        reading.add(found)
        message = f"{item!r} was read as task {found}; what else stood there was left out."
        reading.note(Outcome.CHANGED, "number-spelling", message)
        return
    _read_zeros(item, book, answers, reading)


def _read_zeros(item: str, book: NumberBook, answers: ListAnswers, reading: ListReading) -> None:
    """Offer the task that differs by leading zeros only; else the number is unknown."""
    alike = book.bare.get(_bare(re.sub(r"[.,]0+$", "", item)), [])
    if len(alike) == 1 and answers.zeros == "match":
        reading.add(alike[0])
        reading.note(Outcome.CHANGED, "leading-zeros", f"{item!r} was read as task {alike[0]}.")
    elif len(alike) == 1 and not answers.zeros:
        reading.needs["zeros"] = f"{item!r} for {alike[0]!r}"
        message = f"There is no task {item!r}, but a task {alike[0]!r}; zeros may have been lost."
        reading.note(Outcome.OFFERED, "leading-zeros", message, "Say whether they are the same.")
    else:
        message = f"There is no task {stood(item)!r}; the arrow was left out."
        hint = "Correct the number, or add the missing task."
        reading.note(Outcome.ERROR, "unknown-task", message, hint)
