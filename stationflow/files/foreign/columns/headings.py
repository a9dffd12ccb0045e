"""Where the headings of a stranger's sheet stand, and what each column seems to hold."""

import re
from dataclasses import dataclass, replace
from itertools import islice

from stationflow.files.foreign.column_mapping import (
    MANY,
    TIME_TARGETS,
    ColumnMapping,
    MappedColumn,
    TableKind,
    Target,
)
from stationflow.files.foreign.columns.column_content import content_target
from stationflow.files.foreign.columns.spoken_units import CENTIMINUTES, PER_PIECE, unit_of_word
from stationflow.files.foreign.foreign_sheet import ForeignFile, ForeignSheet, RawCell, stood
from stationflow.files.foreign.heading_words import (
    PHRASES,
    UNIT_PHRASES,
    UNKEPT_UNITS,
    simplified,
    unbroken,
)
from stationflow.model.schema.cells import FormulaError, tidy
from stationflow.units import TimeUnit

SEARCHED_ROWS = 30
LONGEST_HEADING = 80
ALIKE = 0.75  # of the best row of headings: another row of headings
MODEL = re.compile(
    r"^(?:.*\b)?(?:model|modell|variant|variante|version|type|typ|modele|modelo|modello|wariant)\b\W*(?P<model>.+)$",
    re.IGNORECASE,
)
ONLY_TASKS = {Target.TIME, Target.PREDECESSORS, Target.FOLLOWERS, Target.STATION}
WORK_TARGETS = {Target.STEP, Target.TOOLS, Target.CHECK, Target.CAUTION, Target.KEY_POINT}
WORK = re.compile(
    r"operat|task|arbeit|vorgang|tatigkeit|tache|tarea|operac|operaz|activ|work|proces"
)
BRACKETS = re.compile(r"[\[(<{]([^\])>}]*)[\])>}]")


@dataclass(frozen=True, slots=True)
class Guess:
    """What a heading seems to name, and how sure that is (0 to 3)."""

    target: Target
    weight: float


def likeliest_sheet(file: ForeignFile) -> ForeignSheet:
    """Return the sheet that looks most like a list of tasks or parts; the first of equals."""
    return max(
        file.sheets, key=lambda s: (_sheet_weight(s), not s.is_hidden, min(len(s.rows), 500))
    )


def _sheet_weight(sheet: ForeignSheet) -> float:
    """Return how much a sheet looks like a list of tasks or parts."""
    if not sheet.rows:
        return -1.0
    best = max(
        heading_weight(row, kind) for row in sheet.rows[:SEARCHED_ROWS] for kind in TableKind
    )
    return best - (2.0 if sheet.is_hidden else 0.0)


def guess_mapping(
    sheet: ForeignSheet, *, kind: TableKind | None = None, header_row: int | None = None
) -> ColumnMapping:
    """Guess where the headings are (row 0: there are none), and what each column holds."""
    found = header_row if header_row is not None else _header_row(sheet, kind)
    cells = sheet.rows[found - 1] if 0 < found <= len(sheet.rows) else ()
    kind = kind or _kind(cells)
    header_rows = _header_rows(sheet, found)
    headings = [_full_heading(sheet, found, header_rows, p) for p in range(sheet.width)]
    columns = _columns(headings, kind)
    if found and header_rows == 2:
        columns = [_with_unit_below(c, sheet.cell(found + 1, c.position)) for c in columns]
    mapping = ColumnMapping(
        kind=kind,
        sheet=sheet.name,
        header_row=found,
        header_rows=header_rows if found else 0,
        columns=tuple(columns),
    )
    return content_target(sheet, mapping)


def column_samples(
    sheet: ForeignSheet, mapping: ColumnMapping, position: int, count: int = 3
) -> tuple[str, ...]:
    """Return the first cells of a column, below the headings, that are not empty."""
    rows = range(mapping.first_data_row, len(sheet.rows) + 1)
    texts = (tidy(stood(sheet.cell(row, position))) for row in rows)
    return tuple(islice(filter(None, texts), count))


def _header_row(sheet: ForeignSheet, kind: TableKind | None) -> int:
    """Return the row with the most headings that are known; 0: none has two."""
    kinds = tuple(TableKind) if kind is None else (kind,)
    weights = [max(heading_weight(row, k) for k in kinds) for row in sheet.rows[:SEARCHED_ROWS]]
    best = max(weights, default=0.0)
    # Less than about two known headings is chance. Of headings that stand again the first counts.
    likely = (row for row, weight in enumerate(weights, 1) if weight > max(3, ALIKE * best))
    return next(likely, 0)


def heading_weight(row: tuple[RawCell, ...], kind: TableKind) -> float:
    """Return how much a row looks like headings: known words, one for each target."""
    by_target: dict[Target, float] = {}
    others = 0.0
    for cell in row:
        if not isinstance(cell, str) or len(cell) > LONGEST_HEADING:
            others += 0 if cell is None else 0.5  # numbers and long texts are no headings
        elif guess := _guess(cell, kind):
            by_target[guess.target] = max(by_target.get(guess.target, 0), guess.weight)
    return sum(by_target.values()) - others if len(by_target) > 1 else 0.0


def _kind(cells: tuple[RawCell, ...]) -> TableKind:
    """Return whether headings are those of tasks or of a parts list."""
    tasks, parts = (heading_weight(cells, kind) for kind in TableKind)
    guesses = [g for c in cells if isinstance(c, str) and (g := _guess(c, TableKind.TASKS))]
    if any(g.target in ONLY_TASKS and g.weight >= 2 for g in guesses):
        return TableKind.TASKS
    # A quantity beside one number only, the part's, is what a parts list has.
    met = {g.target for g in guesses}
    is_counted = Target.PART_QUANTITY in met
    if {Target.NUMBER, Target.PARTS} <= met:  # a task beside its part, or a part with its place
        is_counted &= not any(isinstance(c, str) and WORK.search(simplified(c)) for c in cells)
        return TableKind.PARTS if is_counted and not met & WORK_TARGETS else TableKind.TASKS
    is_part_only = Target.PARTS in met and Target.NUMBER not in met
    is_parts = parts > tasks or (parts == tasks and (is_counted or is_part_only))
    return TableKind.PARTS if is_parts else TableKind.TASKS


def _guess(heading: str, kind: TableKind) -> Guess | None:
    """Return what a heading seems to name."""
    heading = unbroken(heading)
    if "#" in heading and not simplified(heading).strip("# "):
        return Guess(Target.NUMBER if kind == TableKind.TASKS else Target.PART_NUMBER, 2.5)
    heading = PER_PIECE.sub(" ", heading).strip() or heading
    outside = simplified(BRACKETS.sub(" ", heading))
    whole = simplified(heading)
    best: Guess | None = None
    for target, phrases in PHRASES[kind].items():
        weight = max(_match(text, phrases) for text in {outside, whole})
        if weight and (best is None or weight > best.weight):
            best = Guess(target, weight)
    if best is None and kind == TableKind.PARTS:  # any number, when no word says it is the part's
        own = PHRASES[TableKind.TASKS][Target.NUMBER]
        return Guess(Target.PART_NUMBER, 2.0) if outside in own or whole in own else None
    return best


def _match(heading: str, phrases: frozenset[str]) -> float:
    """Return how well a heading fits one of the phrases (0 to 3)."""
    if not heading:
        return 0.0
    if heading in phrases:
        return 3.0
    best = 0.0
    words = f" {heading} "
    for phrase in phrases:
        if len(phrase) > 2 and f" {phrase} " in words:
            # The longer the phrase, the more of the heading it explains.
            best = max(best, 1.5 + len(phrase) / len(heading))
    return best


def _header_rows(sheet: ForeignSheet, found: int) -> int:
    """Return 2 when a row of units, or of the lower half of the headings, follows; else 1."""
    if not found or found >= len(sheet.rows):
        return 1
    cells = [cell for cell in sheet.rows[found] if cell is not None]
    below = [cell for cell in cells if isinstance(cell, str) and tidy(cell)]
    if not below or any(not isinstance(cell, str) for cell in cells):
        return 1
    units = sum(unit_of_word(text) is not None or _is_bracketed(text) for text in below)
    is_upper_merged = any(
        m.first_row == found and m.last_row == found and m.last_column > m.first_column
        for m in sheet.merged
    )
    is_lower_merged = any(m.first_row == found and m.last_row == found + 1 for m in sheet.merged)
    return 2 if units * 2 >= len(below) or is_upper_merged or is_lower_merged else 1


def _is_bracketed(text: str) -> bool:
    """Return whether a text is a remark in brackets, as "[pcs]" below a heading."""
    return bool(BRACKETS.fullmatch(tidy(text)))


def _full_heading(sheet: ForeignSheet, found: int, header_rows: int, position: int) -> str:
    """Return the heading of a column, its lower half included."""
    if not found:
        return ""
    upper = _own_or_merged(sheet, found, position)
    lower = stood(sheet.cell(found + 1, position)) if header_rows == 2 else ""
    if lower and (_is_bracketed(lower) or unit_of_word(lower) is not None):
        lower = ""  # a unit, kept apart
    return unbroken(f"{upper}\n{lower}")


def _own_or_merged(sheet: ForeignSheet, row: int, position: int) -> str:
    """Return what stands in a heading cell, or in the merged cell it is part of."""
    raw = sheet.cell(row, position)
    if raw is None:
        for m in sheet.merged:
            if m.first_row == row and m.first_column < position <= m.last_column:
                raw = sheet.cell(row, m.first_column)
    return "" if isinstance(raw, FormulaError) else stood(raw)


def _columns(headings: list[str], kind: TableKind) -> list[MappedColumn]:
    """Return the columns with the target their heading fits best, each target once."""
    guesses = [_guess(heading, kind) if heading else None for heading in headings]
    columns = [MappedColumn(position=p, heading=text) for p, text in enumerate(headings)]
    taken: set[Target] = set()
    order = sorted(range(len(headings)), key=lambda p: (-(g.weight if (g := guesses[p]) else 0), p))
    for position in order:
        guess = guesses[position]
        if guess is None or guess.weight < 1.5:
            continue
        target, model = guess.target, ""
        if target == Target.TIME and (match := MODEL.match(headings[position])):
            target, model = Target.MODEL_TIME, tidy(BRACKETS.sub("", match["model"]))
        if target in taken and target not in MANY:
            other = _second_choice(headings[position], kind, taken)
            if other is None:
                continue
            target = other
        taken.add(target)
        columns[position] = replace(
            columns[position],
            target=target,
            model=model,
            unit=heading_unit(headings[position]) if target in TIME_TARGETS else None,
            weight_unit=_weight_unit(headings[position]) if target == Target.WEIGHT else "",
            why="the heading says so",
        )
    return columns


def _second_choice(heading: str, kind: TableKind, taken: set[Target]) -> Target | None:
    """Return another target whose word is the heading, exactly, and that is still free."""
    for target, phrases in PHRASES[kind].items():
        if target not in taken and simplified(heading) in phrases:
            return target
    return None


def heading_unit(heading: str) -> TimeUnit | None:
    """Return the unit that a heading names: "Time [s]", "Zeit in min", "HM"."""
    for bracketed in BRACKETS.findall(heading):
        if (unit := unit_of_word(bracketed)) is not None:
            return unit
        inside = filter(None, re.split(r"[\s/]+", bracketed))
        if len(named := {u for w in inside if (u := unit_of_word(w)) is not None}) == 1:
            return TimeUnit.CENTIMINUTE if CENTIMINUTES.search(bracketed) else named.pop()
    bare = BRACKETS.sub(" ", heading).replace(",", " ").casefold()
    if CENTIMINUTES.search(heading):
        return TimeUnit.CENTIMINUTE
    words = re.split(r"[\s_/]+", bare)
    units = [UNIT_PHRASES[w.strip(".:")] for w in words if w.strip(".:") in UNIT_PHRASES]
    if re.search(r"std\.?\s*(time|dev)", bare):
        units = [unit for unit in units if unit != TimeUnit.HOUR]
    return units[-1] if units else None


def names_unkept_unit(heading: str) -> str:
    """Return what is said of a unit that a heading names and that is not kept; empty: none."""
    words = re.split(r"[^a-z]+", heading.casefold())
    return next((said for word, said in UNKEPT_UNITS.items() if word in words), "")


def _with_unit_below(column: MappedColumn, raw: RawCell) -> MappedColumn:
    """Return a column with the unit that stands below its heading."""
    text = raw if isinstance(raw, str) else ""
    if column.target in TIME_TARGETS:
        return replace(column, unit=column.unit or unit_of_word(text))
    if column.target == Target.WEIGHT:
        return replace(column, weight_unit=column.weight_unit or _weight_unit(text))
    return column


def _weight_unit(text: str) -> str:
    """Return "g" or "kg" when a text names it, else nothing."""
    words = re.split(r"[^a-z]+", text.casefold())
    return "kg" if "kg" in words else "g" if "g" in words or "gram" in words else ""
