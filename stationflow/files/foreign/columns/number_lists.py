"""Lists of task numbers as strangers write them: "10;20", "10-30", "op. 10 and 20", 1.2."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches

from stationflow.files.foreign.columns.foreign_cells import (
    BLANKS,
    DASH,
    plain_number_of,
    typed_forms,
    without_value,
)
from stationflow.files.foreign.foreign_sheet import DateCell, RawCell, ShownNumber, stood
from stationflow.files.foreign.heading_words import DASHES, NOTHING_WORDS
from stationflow.files.foreign.import_report import (
    Answers,
    Asked,
    Reading,
    changed,
    left_out,
    noted,
    offered,
    refused,
)
from stationflow.model.schema.cells import tidy
from stationflow.model.size_limits import MOST_ITEMS

LIKELY = 3  # numbers that are offered for a mistyped one
MISREAD = str.maketrans("OoQlIi|SsBZz", "000111155822")
"""Letters typed or read for digits."""
LONGEST_RANGE = 1_000  # tasks that one range may name
LONGEST_JOINED = 40  # digits
PARTED = re.compile(
    r"[,/\s&+|]+(?:(?:and|und|et|y|e|i|en|oraz)\s+)?|\s+(?:and|und|et|oraz)\s+", re.IGNORECASE
)
SEMICOLON = re.compile(r"[;\n\u3001\uff1b\uff0c]+")
RANGE_WORDS = re.compile(r"\s*(?:-|\.\.\.?|\bto\b|\bbis\b|\bbis zu\b|\bà\b|\bdo\b|~)\s*", re.I)
PREFIX = re.compile(r"(?:tasks?|op\.?|operation|nr\.?|no\.?|pos\.?|ag|vorgang|#|step)\s*", re.I)
LOOSE_DASH = re.compile(rf"[-{DASHES}]")
# How project programs write that one task starts with the end of another, two days later.
RELATION = re.compile(
    r"(?<=\w)\s?(?:FS|SS|FF|SF|EA|AA|EE|AE)(?:\s*[+-]\s*[\d.,]+\s*(?:[dhtw%]|min)?)?(?=$|[;,/\s])"
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
        book = cls(list(dict.fromkeys(numbers)))
        for place, number in enumerate(book.order):
            book.place[number] = place
            book.folded.setdefault(folded(number), []).append(number)
            book.bare.setdefault(_bare(number), []).append(number)
        return book

    def find(self, token: str) -> str | None:
        """Return the number a piece of text means, but for case, blanks and dashes; or None."""
        if token in self.place:
            return token
        alike = self.folded.get(folded(token), [])
        return alike[0] if len(alike) == 1 else None

    def ends(self, text: str) -> tuple[str, str] | None:
        """Return both ends of a range of known numbers; None: the text is none."""
        plain = DASH.sub("-", text)
        for match in RANGE_WORDS.finditer(plain):
            first = self.find(tidy(PREFIX.sub("", plain[: match.start()])))
            last = self.find(tidy(PREFIX.sub("", plain[match.end() :])))
            if first is not None and last is not None:
                return first, last
        return None


def folded(number: str) -> str:
    """Return a number without case, blanks and kind of dash.

    >>> folded("A \u2013 10")
    'a-10'
    """
    return re.sub(r"\s+", "", DASH.sub("-", BLANKS.sub(" ", number))).casefold()


def _bare(number: str) -> str:
    """Return a folded number without leading zeros."""
    return folded(number).lstrip("0") or "0"


@dataclass(slots=True)
class ListReading:
    """The numbers that a cell lists, and what was noted."""

    numbers: list[str] = field(default_factory=list)
    notes: list[Reading] = field(default_factory=list)

    @property
    def asks(self) -> list[Asked]:
        """The questions that must be answered first."""
        return [asked for note in self.notes for asked in note.asks]


def read_list(raw: RawCell, book: NumberBook, answers: Answers) -> ListReading:
    """Read the task numbers that a cell lists.

    Questions are about numbers that lost their zeros ("zeros"), lists that became dates
    ("dates"), and numbers that a spreadsheet program has joined ("joined").
    """
    if isinstance(raw, str) and raw in book.place:  # the usual case, told quickly
        return ListReading([raw])
    if (without := without_value(raw)) is not None:
        return ListReading([], [without] if without.severity else [])
    reader = _ListReader(book, answers)
    if isinstance(raw, DateCell):
        reader.read_date(raw)
    elif isinstance(raw, bool):
        reader.notes.append(refused("not-a-number", "It must be a list of task numbers."))
    elif isinstance(raw, ShownNumber) and raw.shown in book.place:
        reader.numbers.append(raw.shown)
    elif isinstance(raw, int | float | ShownNumber):
        reader.read_number(plain_number_of(raw))
    else:
        reader.read_words(str(raw))
    unique = list(dict.fromkeys(reader.numbers))
    if len(unique) < len(reader.numbers):
        reader.keep([], "listed-twice", "A number stands twice; it counts once.")
    return ListReading(unique, reader.notes)


class _ListReader:
    """Reads one list."""

    def __init__(self, book: NumberBook, answers: Answers) -> None:
        self.book = book
        self.answers = answers
        self.numbers: list[str] = []
        self.notes: list[Reading] = []

    def keep(self, numbers: Iterable[str], code: str, message: str, hint: str = "") -> None:
        """Keep numbers that do not stand letter by letter in the cell."""
        self.numbers += numbers
        self.notes.append(changed(None, code, message, hint))

    def read_date(self, cell: DateCell) -> None:
        """Turn "1-2", of which a spreadsheet program made a date, back into task numbers."""
        forms = typed_forms(cell)
        if form := next((form for form in forms if form in self.book.place), ""):
            self.keep([form], "date", f"The date was turned back into task {form}.")
            return
        pairs = {form: [self.book.find(token) for token in form.split("-")] for form in forms}
        form = next((form for form, pair in pairs.items() if all(pair)), "")
        if not form:
            message = (
                "A spreadsheet program made a date of it, and no tasks fit what may have stood."
            )
            self.notes.append(refused("date", message, "Enter the task numbers as text."))
            return
        message = f"A spreadsheet program made a date of {form}"
        first, last = sorted(filter(None, pairs[form]), key=self.book.place.__getitem__)
        match self.answers.get("dates"):
            case "list":
                self.keep(
                    [first, last], "date", f"The date was turned back into {first} and {last}."
                )
            case "range":
                self._add_range(first, last)
            case "leave-out":
                self.notes.append(left_out("date", f"{message}; the arrows were left out."))
            case _:
                hint, example = "Say whether it is a list or a range.", f"{first} and {last}"
                self.notes.append(offered("dates", "date", f"{message}.", hint, example=example))

    def read_number(self, text: str) -> None:
        """Read a cell that holds one number: 10, or 1.2 where "1,2" was typed."""
        place = self.book.place
        whole, point, decimals = text.partition(".")
        if text not in place and point and whole in place:
            # 10.2 may have been "10,20": zeros at the end are lost in a number.
            behind = [decimals + "0" * n for n in range(4) if decimals + "0" * n in place]
            # Of several, the one with as many digits as the number before it.
            alike = [number for number in behind if len(number) == len(whole)]
            behind = alike or behind
            if len(behind) == 1:
                message = f"The number {text} was read as the two tasks {whole} and {behind[0]}."
                hint = "Enter lists as text, parted by semicolons, if this is not meant."
                self.keep([whole, behind[0]], "number-as-list", message, hint)
                return
        splits = [] if point or text in place else self._splits(text)
        said = self.answers.get("joined")
        if len(splits) != 1 or said == "leave-out":
            self._read_item(text)
            return
        together = " and ".join(splits[0])
        if said == "split":
            self.keep(splits[0], "joined-numbers", f"Read as {together}.")
            return
        message = f"There is no task {text}; a spreadsheet program may have joined {together}."
        hint, example = "Say whether it did.", f"{text}: {together}"
        self.notes.append(offered("joined", "joined-numbers", message, hint, example=example))

    def _splits(self, text: str) -> list[list[str]]:
        """Return the ways to part digits of equal length into known numbers."""
        if len(text) >= LONGEST_JOINED:
            return []
        sizes = (size for size in range(2, len(text) // 2 + 1) if len(text) % size == 0)
        ways = ([text[i : i + size] for i in range(0, len(text), size)] for size in sizes)
        return [pieces for pieces in ways if all(piece in self.book.place for piece in pieces)]

    def read_words(self, raw: str) -> None:
        """Read a list in words."""
        text = tidy(BLANKS.sub(" ", raw))
        if text in self.book.place:
            self.keep([text], "blanks-at-the-ends", "Blanks were taken off.")
            return
        if text.casefold() in NOTHING_WORDS or text == "0":
            self.notes.append(left_out("no-value", f"{text!r} says that there is none."))
            return
        without = RELATION.sub("", text)
        if without != text:
            message = "Kinds of relation and lags behind the numbers were left out."
            self.keep([], "relation", message, "Enter lags on the Tasks page.")
        pieces: list[str] = []
        for part in filter(None, map(tidy, SEMICOLON.split(without))):
            is_whole = self.book.find(part) or self.book.ends(part)
            inside = [part] if is_whole else list(filter(None, map(tidy, PARTED.split(part))))
            if any(map(self._is_word, inside)) and self.answers.get("words") != "take":
                self._ask_words(part)
            else:
                pieces += [piece for piece in inside if not self._is_word(piece)]
        if len(pieces) > MOST_ITEMS:
            message = f"It lists {len(pieces)} items; at most {MOST_ITEMS} are read."
            self.notes.append(refused("list-too-long", message, "Shorten the list."))
            return
        for piece in _with_loose_dashes(pieces):
            self._read_item(piece)

    def _is_word(self, piece: str) -> bool:
        """Return whether a piece of a list is a word that is no task: "not", "or", "bis"."""
        if any(map(str.isdecimal, piece)) or not any(map(str.isalpha, piece)):
            return False
        is_range = RANGE_WORDS.fullmatch(f" {piece} ") is not None
        return not is_range and not PREFIX.fullmatch(piece) and self.book.find(piece) is None

    def _ask_words(self, part: str) -> None:
        """Ask whether the numbers beside words are meant; without a number nothing is."""
        if not any(map(str.isdecimal, part)):
            message = f"{stood(part)!r} is no task number."
            self.notes.append(refused("unknown-task", message, "Enter task numbers."))
        elif self.answers.get("words") == "leave-out":
            self.notes.append(left_out("words", f"{stood(part)!r} was left out, as was said."))
        else:
            message = f"{stood(part)!r} says more than task numbers."
            hint = "Say whether the numbers are meant."
            self.notes.append(offered("words", "words", message, hint, example=part))

    def _read_item(self, item: str) -> None:
        """Read one piece of a list."""
        if (found := self.book.find(item)) is not None:
            if found == item:
                self.numbers.append(found)
            else:
                self.keep([found], "number-spelling", f"{item!r} was read as task {found}.")
        elif ends := self.book.ends(item):
            self._add_range(*ends)
        elif (found := self.book.find(tidy(PREFIX.sub("", item, count=1)))) is not None:
            message = f"{item!r} was read as task {found}; what else stood there was left out."
            self.keep([found], "number-spelling", message)
        else:
            self._read_zeros(item)

    def _add_range(self, first: str, last: str) -> None:
        """Add all numbers from one to another, in listed order."""
        low, high = sorted((self.book.place[first], self.book.place[last]))
        if high - low >= LONGEST_RANGE:
            message = f"The range names {high - low + 1} tasks; at most {LONGEST_RANGE} are read."
            self.notes.append(refused("list-too-long", message, "List the numbers one by one."))
            return
        numbers = self.book.order[low : high + 1]
        shown = "; ".join(numbers) if len(numbers) < 12 else f"{len(numbers)} tasks"
        message = f"Read as all tasks listed from {first} to {last}: {shown}."
        self.keep(numbers, "range", message, "List the numbers one by one if not meant.")

    def _read_zeros(self, item: str) -> None:
        """Offer the task that differs by leading zeros only; else ask which task is meant."""
        alike = self.book.bare.get(_bare(re.sub(r"[.,]0+$", "", item)), [])
        said = self.answers.get("zeros")
        if len(alike) != 1 or said == "leave-out":
            self._read_typo(item)
        elif said == "match":
            self.keep(alike, "leading-zeros", f"{item!r} was read as task {alike[0]}.")
        else:
            message = f"There is no task {item!r}, but a task {alike[0]!r}; "
            message += "zeros may have been lost."
            hint, example = "Say whether they are the same.", f"{item!r} for {alike[0]!r}"
            self.notes.append(offered("zeros", "leading-zeros", message, hint, example=example))

    def _read_typo(self, item: str) -> None:
        """Read what is no task as was said of it; nothing said: ask which task is meant."""
        kind, token = f"typo:{item}", stood(item)
        message = f"There is no task {token!r}"
        match self.answers.get(kind) or self.answers.get("typos"):
            case None | "":
                message += "; the arrow is left out until you say which is meant."
                hint = "Say which task is meant."
                kind = "" if "typos" in self.answers else kind
                self.notes.append(offered(kind, "unknown-task", message, hint, token=token))
            case "leave-out":
                hint = "Correct the number, or add the missing task."
                self.notes.append(
                    left_out("unknown-task", f"{message}; the arrow was left out.", hint)
                )
            case "as-it-stands":
                self.numbers.append(item)
                hint = "Correct the number, or add the missing task."
                self.notes.append(noted(item, "unknown-task", f"{message}; it was kept.", hint))
            case meant:
                self.keep([meant], "typo", f"{token!r} was read as task {meant}.")


def alike_numbers(token: str, book: NumberBook) -> list[str]:
    """Return up to three numbers that a mistyped one may mean, the likeliest first.

    >>> alike_numbers("2O", NumberBook.of(["10", "20", "30"]))
    ['20']
    """
    meant = token.translate(MISREAD)
    exact = [number for number in (book.find(meant), book.find(meant[::-1])) if number]
    close = get_close_matches(folded(meant), list(book.folded), LIKELY, 0.6)
    return list(dict.fromkeys([*exact, *(book.folded[each][0] for each in close)]))[:LIKELY]


def _with_loose_dashes(pieces: list[str]) -> list[str]:
    """Join "10", "-", "30" that blanks have parted; leave out the word "op." alone."""
    joined: list[str] = []
    for piece in pieces:
        if PREFIX.fullmatch(piece):
            continue  # "op." before a number
        if joined and (LOOSE_DASH.fullmatch(piece) or LOOSE_DASH.fullmatch(joined[-1][-1])):
            joined[-1] += piece
        else:
            joined.append(piece)
    return joined
