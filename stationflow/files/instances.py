"""Published instances of the line balancing problem: `.alb` and `.IN2` files.

Sources of the formats: Scholl, A. (1993), "Data of assembly line balancing
problems", TH Darmstadt (`.IN2`); Otto, A., Otto, C. and Scholl, A. (2013),
European Journal of Operational Research 228, 33-45 (`.alb`). The originals have
Windows line ends, decimal commas, blank lines, remarks and even further pairs
after the end mark, and a byte 1A from the days of DOS at the end.
"""

import re
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import islice, pairwise
from pathlib import Path

from stationflow.balancing.arrows import circles
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.task_check import circle_finding
from stationflow.balancing.work import LineWork
from stationflow.errors import SourceError
from stationflow.files.product.folder_access import source_bytes
from stationflow.files.product.table_reading import Found
from stationflow.model import MAIN_LINE, Finding, error, warning
from stationflow.model.size_limits import LARGEST_INSTANCE, MOST_ARROWS, MOST_LINES, MOST_TASKS

MOST_DECIMALS = 6
LONGEST_LINE = 200  # characters; the rest cannot be a time or an arrow
INSTANCE_ENDINGS = (".alb", ".in2")
READ_SECTIONS = ("number of tasks", "cycle time", "order strength", "task times",
                 "precedence relations")  # fmt: skip
NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?", re.ASCII)
PAIR = re.compile(r"(-?[0-9]{1,9})\s*[,;\s]\s*(-?[0-9]{1,9})", re.ASCII)
SECTION = re.compile(r"<\s*(.*?)\s*>?")


Arrows = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """A published instance."""

    name: str  # file name without its ending
    work: LineWork  # the tasks, times in file units
    # the cycle time that stands in the file, in file units; None: the file has none
    cycle_time: int | float | None = None
    findings: tuple[Finding, ...] = ()  # what is wrong in the file, with line numbers


@dataclass(slots=True)
class _Draft:
    """What has been read so far."""

    file: str
    tasks: int = 0
    times: dict[int, Decimal] = field(default_factory=dict)
    pairs: list[tuple[int, int]] = field(default_factory=list)
    cycle_time: Decimal | None = None
    is_full: bool = False  # whether there are more arrows than are read
    unread: list[str] = field(default_factory=list)
    findings: Found = field(default_factory=Found)

    def broken(self, line: int, message: str) -> None:
        """Note what is wrong in one line of the file."""
        self.findings.add(error("instance-broken", f"{self.file}, line {line}", message))

    def has(self, line: int, *tasks: int) -> bool:
        """Return whether all tasks named in a line are in the file; note the first that is not."""
        strange = [task for task in tasks if not 1 <= task <= self.tasks]
        if strange:
            self.broken(line, f"There is no task {strange[0]}; the file has {self.tasks} tasks.")
        return not strange


def read_instance(path: Path | str) -> Instance:
    """Read a published instance: a file that ends in `.alb` or `.IN2`.

    Task numbers are the positions in the file, "1" to "n". What is wrong in single lines is
    among the findings.

    Raises `SourceError` if the file cannot be read, has another ending, is too large, or does not
    say how many tasks there are.
    """
    path = Path(path)
    if path.suffix.lower() not in INSTANCE_ENDINGS:
        raise SourceError(str(path), "it is not a published instance.", "Give a .alb or .IN2 file.")
    lines = _lines(path)
    draft = _Draft(file=path.name)
    read = _read_sections if path.suffix.lower() == ".alb" else _read_plain
    read(lines, draft, path)
    before: list[set[int]] = [set() for _ in range(draft.tasks)]
    for first, second in draft.pairs:
        before[second - 1].add(first - 1)
    predecessors = tuple(tuple(sorted(positions)) for positions in before)
    _judge(draft, predecessors)
    cycle = draft.cycle_time
    return Instance(
        name=path.stem,
        work=_work(draft, predecessors),
        cycle_time=None if cycle is None else int(cycle) if cycle == int(cycle) else float(cycle),
        findings=draft.findings.findings,
    )


def _lines(path: Path) -> list[tuple[int, str]]:
    """Return the lines that are not blank, with their numbers, up to the DOS end of file."""
    data = source_bytes(path, LARGEST_INSTANCE)
    text = data.removeprefix(b"\xef\xbb\xbf").split(b"\x1a")[0].decode("latin-1")
    numbered = enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), start=1)
    stripped = ((number, line.strip()[:LONGEST_LINE]) for number, line in numbered)
    lines = list(islice(((number, line) for number, line in stripped if line), MOST_LINES + 1))
    if len(lines) > MOST_LINES:
        problem = f"it has more than {MOST_LINES} lines; no instance of {MOST_TASKS} tasks has."
        raise SourceError(str(path), problem, "Compare the file with the published format.")
    return lines


def _count(text: str, path: Path) -> int:
    if not re.fullmatch(r"[0-9]{1,9}", text, re.ASCII) or not 0 < int(text) <= MOST_TASKS:
        raise SourceError(
            str(path),
            f"the number of tasks reads {text[:40]!r}; it must be from 1 to {MOST_TASKS}.",
            "Compare the file with the published format.",
        )
    return int(text)


def _read_plain(lines: list[tuple[int, str]], draft: _Draft, path: Path) -> None:
    """Read an `.IN2` file: n, n times, pairs, and the end mark -1,-1."""
    draft.tasks = _count(lines[0][1] if lines else "", path)
    times, pairs = lines[1 : draft.tasks + 1], lines[draft.tasks + 1 :]
    for task, (number, text) in enumerate(times, start=1):
        _take_time(draft, number, task, text)
    for number, text in pairs:
        pair = PAIR.fullmatch(text)
        if pair and pair[1] == pair[2] == "-1":
            return  # what follows are remarks, sometimes with pairs that were taken out
        _take_pair(draft, number, text)


def _read_sections(lines: list[tuple[int, str]], draft: _Draft, path: Path) -> None:
    """Read an `.alb` file: sections that each begin with a name in angle brackets."""
    counts = [
        after[1] for (_, before), after in pairwise(lines) if _section(before) == "number of tasks"
    ]
    draft.tasks = _count(counts[0] if counts else "", path)
    section = ""
    for number, text in lines:
        name = _section(text)
        if name == "end":
            return
        section = name or section
        if name and name not in READ_SECTIONS:
            draft.unread.append(text[:60])
            where = f"{draft.file}, line {number}"
            message = f"The section {text[:60]!r} is not read; balancing does not keep it."
            draft.findings.add(warning("limits-not-kept", where, message))
        elif not name and section == "cycle time":
            draft.cycle_time = _number(draft, number, text, "the cycle time")
        elif not name and section == "task times":
            _take_numbered_time(draft, number, text)
        elif not name and section == "precedence relations":
            _take_pair(draft, number, text)


def _section(text: str) -> str:
    """Return the name of the section a line begins, or nothing."""
    match = SECTION.fullmatch(text)
    return match[1].lower() if match else ""


def _take_numbered_time(draft: _Draft, number: int, text: str) -> None:
    """Take a line "task time" of an `.alb` file."""
    words = text.split()
    if len(words) != 2 or not re.fullmatch(r"[0-9]{1,9}", words[0], re.ASCII):
        draft.broken(number, f"{text[:40]!r} must be a task and its time, as in '3 140'.")
    elif (task := int(words[0])) in draft.times:
        draft.broken(number, f"Task {task} has a time already; the first one was kept.")
    elif draft.has(number, task):
        _take_time(draft, number, task, words[1])


def _take_time(draft: _Draft, number: int, task: int, text: str) -> None:
    draft.times[task] = _number(draft, number, text, f"the time of task {task}") or Decimal(0)


def _number(draft: _Draft, line: int, text: str, what: str) -> Decimal | None:
    """Return a number that is not negative, with decimal point or comma."""
    if len(text) > 30 or not NUMBER.fullmatch(text):
        draft.broken(line, f"{text[:40]!r} stands where {what} should be.")
        return None
    number = Decimal(text.replace(",", "."))
    if -int(number.as_tuple().exponent) > MOST_DECIMALS:
        draft.broken(line, f"{text} has more than {MOST_DECIMALS} decimals ({what}).")
        return None
    return number


def _take_pair(draft: _Draft, number: int, text: str) -> None:
    """Take one arrow "before,after"; the same arrow given twice counts once."""
    pair = PAIR.fullmatch(text)
    if not pair:
        draft.broken(number, f"{text[:40]!r} must be two tasks, as in '3,14'.")
        return
    before, after = int(pair[1]), int(pair[2])
    if draft.has(number, before, after):
        if before == after:
            draft.broken(number, f"Task {before} cannot be its own predecessor.")
        elif len(draft.pairs) < MOST_ARROWS:
            draft.pairs.append((before, after))
        elif not draft.is_full:
            draft.is_full = True
            message = f"There are more than {MOST_ARROWS} arrows; from here on they were not read."
            draft.broken(number, f"{message} Leave out arrows that follow from others.")


def _judge(draft: _Draft, predecessors: Arrows) -> None:
    """Note what only the whole file shows: missing times and a circle."""
    missing = [task for task in range(1, draft.tasks + 1) if task not in draft.times]
    if missing:
        named = ", ".join(map(str, missing[:10])) + (" ..." if len(missing) > 10 else "")
        message = f"{len(missing)} of {draft.tasks} times miss: {named}."
        draft.findings.add(error("instance-broken", draft.file, message))
    for circle in circles(predecessors):
        draft.findings.add(circle_finding([str(position + 1) for position in circle]))


def _work(draft: _Draft, predecessors: Arrows) -> LineWork:
    """Return the tasks in whole ticks: 10, 100 ... ticks a unit when times have decimals."""
    times = [draft.times.get(task, Decimal(0)) for task in range(1, draft.tasks + 1)]
    decimals = max(-int(time.as_tuple().exponent) for time in times)
    ticks = 10**decimals
    return LineWork(
        line=MAIN_LINE,
        numbers=tuple(str(task) for task in range(1, draft.tasks + 1)),
        times=tuple(int(time * ticks) for time in times),
        predecessors=predecessors,
        ticks=ticks,
        time_unit="unit",
        limits=EnteredLimits(unread=tuple(draft.unread)),
    )
