"""What belongs to a stranger's tasks: steps, parts, tools, checks and cautions."""

import re
from collections.abc import Sequence
from decimal import Decimal

from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn, Target
from stationflow.files.foreign.foreign_cells import Reading, is_empty, read_number, read_text
from stationflow.files.foreign.foreign_sheet import ForeignSheet
from stationflow.files.foreign.heading_words import HAZARD_PHRASES, simplified
from stationflow.files.foreign.import_report import Outcome, Report
from stationflow.files.foreign.task_numbers import NumberedRow
from stationflow.model import Caution, Check, Hazard, PartUse, Step, ToolUse

BULLET = re.compile(r"^\s*(?:\d{1,2}[.)]\s+|[-\u2022*\u2013]\s+)")
TIMES_BEFORE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:[x\u00d7*]|pcs\.?|stk\.?)\s+(.+)", re.I)
TIMES_BEHIND = re.compile(
    r"(.+?)\s*(?:\(\s*(\d+(?:[.,]\d+)?)\s*(?:x|\u00d7|pcs\.?|stk\.?)?\s*\)|"
    r"\s[x\u00d7*]\s*(\d+(?:[.,]\d+)?)|:\s*(\d+(?:[.,]\d+)?)(?:\s*(?:pcs|stk)\.?)?)",
    re.I,
)
PARTED = re.compile(r"[;\n]+|,\s+")


class Content:
    """Reads what belongs to each task from its row and the rows below that add to it."""

    def __init__(
        self, sheet: ForeignSheet, mapping: ColumnMapping, report: Report, parts: frozenset[str]
    ) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.report = report
        self.parts = parts

    def steps(self, task: NumberedRow) -> tuple[Step, ...]:
        """Return the steps; several lines in one cell are several steps."""
        steps: list[Step] = []
        key = self.mapping.of(Target.KEY_POINT)
        reason = self.mapping.of(Target.REASON)
        columns = self.mapping.all_of(Target.STEP)
        for row in (task.row, *task.further):
            texts = [line for c in columns for line in self._lines(row, c)]
            count = len(texts)
            points = self._beside(row, key, count)
            reasons = self._beside(row, reason, count)
            for place in range(max(count, len(points), len(reasons))):
                step = Step(
                    text=texts[place] if place < count else "",
                    key_point=points[place] if place < len(points) else "",
                    reason=reasons[place] if place < len(reasons) else "",
                )
                if step != Step(text=""):
                    steps.append(step)
        return tuple(steps)

    def part_uses(self, task: NumberedRow) -> tuple[PartUse, ...]:
        """Return the parts with their quantities."""
        column = self.mapping.of(Target.PARTS)
        if column is None:
            return ()
        amount = self.mapping.of(Target.PART_QUANTITY)
        uses: dict[str, float] = {}
        for row in (task.row, *task.further):
            listed = self._listed_parts(row, column)
            beside = self._quantities(row, amount, len(listed))
            for place, (part, own) in enumerate(listed):
                quantity = beside[place] if place < len(beside) else own
                if part in uses:
                    message = f"Part {part!r} stands more than once; the quantities were added."
                    self._note(row, column, Outcome.CHANGED, "part-again", message, part)
                uses[part] = uses.get(part, 0.0) + quantity
        return tuple(PartUse(part=part, quantity=quantity) for part, quantity in uses.items())

    def tools(self, task: NumberedRow) -> tuple[ToolUse, ...]:
        """Return the tools; what stands behind a colon is how a tool is set."""
        tools: dict[ToolUse, None] = {}
        for column in self.mapping.all_of(Target.TOOLS):
            for row in (task.row, *task.further):
                text = self._text(row, column)
                pieces = [p.strip() for p in PARTED.split(text) if p.strip()] if text else []
                for piece in pieces:
                    name, _, setting = piece.partition(": ")
                    tools[ToolUse(tool=name.strip(), setting=setting.strip())] = None
                if len(pieces) > 1 or (pieces and ": " in pieces[0]):
                    message = "The list was parted into tools and their settings."
                    became = " | ".join(pieces)
                    self._note(row, column, Outcome.CHANGED, "list-parted", message, became)
        return tuple(tools)

    def checks(self, task: NumberedRow) -> tuple[Check, ...]:
        """Return the checks, one a cell."""
        column = self.mapping.of(Target.CHECK)
        rows = (task.row, *task.further) if column else ()
        texts = [self._text(row, column) for row in rows if column]
        return tuple(Check(text=text) for text in texts if text)

    def cautions(self, task: NumberedRow) -> tuple[Caution, ...]:
        """Return the cautions whose hazard is in the catalogue; the words are kept."""
        column = self.mapping.of(Target.CAUTION)
        cautions: dict[Hazard, Caution] = {}
        for row in (task.row, *task.further) if column else ():
            assert column is not None
            text = self._text(row, column)
            if not text:
                continue
            found = [hazard for hazard, words in HAZARD_PHRASES.items() if _names(text, words)]
            if not found:
                message = "No hazard of the catalogue is named, so no caution could be made of it."
                hint = "Add the caution to the task on the Cards page, or name the hazard."
                self._note(row, column, Outcome.LEFT_OUT, "hazard-unknown", message, "", hint)
            for hazard in found:
                is_word = simplified(text) in HAZARD_PHRASES[hazard]
                cautions.setdefault(hazard, Caution(hazard=hazard, text="" if is_word else text))
            if found:
                message = f"Read as the hazard {' and '.join(found)}."
                became = ", ".join(found)
                self._note(row, column, Outcome.CHANGED, "hazard", message, became)
        return tuple(cautions.values())

    def remarks(self, task: NumberedRow, targets: Sequence[Target]) -> str:
        """Return the texts of some columns, joined; used for the source of the time."""
        texts = [
            text
            for target in targets
            for column in self.mapping.all_of(target)
            for row in (task.row, *task.further)
            if (text := self._text(row, column))
        ]
        return "; ".join(dict.fromkeys(texts))

    def _lines(self, row: int, column: MappedColumn) -> list[str]:
        """Return the lines of a cell without their bullets."""
        text = self._text(row, column)
        lines = [line for line in text.split("\n") if line.strip()]
        bare = [BULLET.sub("", line).strip() for line in lines]
        if len(lines) > 1 or bare != lines:
            message = (
                f"The lines of the cell became {len(bare)} steps; their numbers were left out."
            )
            became = " | ".join(bare)
            self._note(row, column, Outcome.CHANGED, "lines-as-steps", message, became)
        return bare

    def _beside(self, row: int, column: MappedColumn | None, steps: int) -> list[str]:
        """Return the texts beside the steps: line by line if there are as many, else as one."""
        text = self._text(row, column) if column else ""
        lines = [BULLET.sub("", line).strip() for line in text.split("\n") if line.strip()]
        return lines if len(lines) == steps or not lines else [text]

    def _listed_parts(self, row: int, column: MappedColumn) -> list[tuple[str, float]]:
        """Return the parts in a cell with the quantities that stand beside them there."""
        text = self._text(row, column)
        if not text or text in self.parts:
            return [(text, 1.0)] if text else []
        parts: list[tuple[str, float]] = []
        for piece in PARTED.split(text):
            item = piece.strip()
            if not item:
                continue
            if item in self.parts:
                parts.append((item, 1.0))
            elif match := TIMES_BEFORE.fullmatch(item):
                parts.append((match[2].strip(), _amount(match[1])))
            elif match := TIMES_BEHIND.fullmatch(item):
                parts.append((match[1].strip(), _amount(match[2] or match[3] or match[4])))
            else:
                parts.append((item, 1.0))
        if parts != [(text, 1.0)]:
            became = "; ".join(f"{part} x {quantity:g}" for part, quantity in parts)
            message = "The cell was parted into parts and quantities."
            self._note(row, column, Outcome.CHANGED, "list-parted", message, became)
        return parts

    def _quantities(self, row: int, column: MappedColumn | None, count: int) -> list[float]:
        """Return the quantities in their own column, as many as there are parts."""
        if column is None or not count:
            if column is not None and not is_empty(self.sheet.cell(row, column.position)):
                message = "A quantity without a part beside it was left out."
                self._note(row, column, Outcome.LEFT_OUT, "quantity-alone", message, "")
            return []
        raw = self.sheet.cell(row, column.position)
        pieces = re.split(r"[;\n]+", raw) if isinstance(raw, str) and count > 1 else [raw]
        readings = [read_number(piece) for piece in pieces]
        amounts = [r.value for r in readings if isinstance(r.value, Decimal) and r.value >= 0]
        if len(amounts) == len(pieces) == count:
            self._note_reading(row, column, readings[0])
            return [float(amount) for amount in amounts]
        if not is_empty(raw):
            message = f"It is not one quantity for each of the {count} parts; 1 was taken."
            if count == 1:
                message = readings[0].message or "A quantity must not be negative; 1 was taken."
            hint = "Correct the quantity."
            self._note(row, column, Outcome.ERROR, "quantity-not-read", message, "1", hint)
        return []

    def _text(self, row: int, column: MappedColumn | None) -> str:
        """Return the text of a cell, and note what was not taken as it stands."""
        if column is None:
            return ""
        reading = read_text(self.sheet.cell(row, column.position))
        self._note_reading(row, column, reading)
        return reading.value if isinstance(reading.value, str) else ""

    def _note_reading(self, row: int, column: MappedColumn, reading: Reading) -> None:
        """Note what was not taken as it stands."""
        if reading.severity:
            became = "" if reading.value is None else str(reading.value)
            self._note(
                row, column, reading.severity, reading.code, reading.message, became, reading.hint
            )

    def _note(
        self,
        row: int,
        column: MappedColumn,
        severity: Outcome,
        code: str,
        message: str,
        became: str,
        hint: str = "",
    ) -> None:
        """Note one cell."""
        place = (row, column.position)
        self.report.cell(severity, code, place, message, became=became, hint=hint)


def _amount(text: str) -> float:
    """Return a quantity beside a part."""
    return float(text.replace(",", "."))


def _names(text: str, words: frozenset[str]) -> bool:
    """Return whether a text names a hazard, word by word."""
    bare = f" {simplified(text)} "
    return any(f" {word} " in bare for word in words)
