"""What belongs to a stranger's tasks: steps, parts, tools, checks and cautions."""

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import zip_longest

from stationflow.files.foreign.column_mapping import MappedColumn, Target
from stationflow.files.foreign.columns.foreign_cells import is_empty, read_number, read_text
from stationflow.files.foreign.heading_words import HAZARD_PHRASES, simplified, speaks_of
from stationflow.files.foreign.import_report import Report, changed, left_out, refused
from stationflow.files.foreign.rows.row_kinds import SheetRow
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

    def __init__(self, report: Report, parts: frozenset[str]) -> None:
        self.report = report
        self.mapping = report.mapping
        self.parts = parts

    def texts(self, task: SheetRow, target: Target) -> Iterator[tuple[int, MappedColumn, str]]:
        """Yield the texts in the columns of a target, each with its row and column."""
        for column in self.mapping.all_of(target):
            for row in (task.row, *task.further):
                if text := self._text(row, column):
                    yield row, column, text

    def steps(self, task: SheetRow) -> tuple[Step, ...]:
        """Return the steps; several lines in one cell are several steps."""
        steps: list[Step] = []
        key = self.mapping.of(Target.KEY_POINT)
        reason = self.mapping.of(Target.REASON)
        columns = self.mapping.all_of(Target.STEP)
        for row in (task.row, *task.further):
            texts = [line for c in columns for line in self._lines(row, c)]
            points = self._beside(row, key, len(texts))
            reasons = self._beside(row, reason, len(texts))
            for text, point, why in zip_longest(texts, points, reasons, fillvalue=""):
                if text or point or why:
                    steps.append(Step(text=text, key_point=point, reason=why))
        return tuple(steps)

    def part_uses(self, task: SheetRow) -> tuple[PartUse, ...]:
        """Return the parts with their quantities."""
        column = self.mapping.of(Target.PARTS)
        if column is None:
            return ()
        uses: dict[str, float] = {}
        for row in (task.row, *task.further):
            listed = self._listed_parts(row, column)
            beside = self._quantities(row, len(listed)) or [own for _, own in listed]
            for (part, _), quantity in zip(listed, beside, strict=True):
                if part in uses:
                    message = f"Part {part!r} stands more than once; the quantities were added."
                    self.report.take(row, column, changed(part, "part-again", message))
                uses[part] = uses.get(part, 0.0) + quantity
        return tuple(PartUse(part=part, quantity=quantity) for part, quantity in uses.items())

    def tools(self, task: SheetRow) -> tuple[ToolUse, ...]:
        """Return the tools; what stands behind a colon is how a tool is set."""
        tools: dict[ToolUse, None] = {}
        for row, column, text in self.texts(task, Target.TOOLS):
            pieces = [p.strip() for p in PARTED.split(text) if p.strip()]
            for piece in pieces:
                name, _, setting = piece.partition(": ")
                tools[ToolUse(tool=name.strip(), setting=setting.strip())] = None
            if len(pieces) > 1 or (pieces and ": " in pieces[0]):
                message = "The list was parted into tools and their settings."
                said = changed(" | ".join(pieces), "list-parted", message)
                self.report.take(row, column, said)
        return tuple(tools)

    def checks(self, task: SheetRow) -> tuple[Check, ...]:
        """Return the checks, one a cell."""
        return tuple(Check(text=text) for _, _, text in self.texts(task, Target.CHECK))

    def cautions(self, task: SheetRow) -> tuple[Caution, ...]:
        """Return the cautions whose hazard is in the catalogue; the words are kept."""
        cautions: dict[Hazard, Caution] = {}
        for row, column, text in self.texts(task, Target.CAUTION):
            bare = simplified(text)
            found = [
                hazard for hazard, phrases in HAZARD_PHRASES.items() if speaks_of(bare, phrases)
            ]
            for hazard in found:
                words = "" if bare in HAZARD_PHRASES[hazard] else text
                cautions.setdefault(hazard, Caution(hazard=hazard, text=words))
            message = "No hazard of the catalogue is named, so no caution could be made of it."
            hint = "Add the caution to the task on the Cards page, or name the hazard."
            said = left_out("hazard-unknown", message, hint)
            if found:
                message = f"Read as the hazard {' and '.join(found)}."
                said = changed(", ".join(found), "hazard", message)
            self.report.take(row, column, said)
        return tuple(cautions.values())

    def joined(self, task: SheetRow, target: Target) -> str:
        """Return the texts in the columns of a target, joined."""
        texts = self.texts(task, target)
        return "; ".join(dict.fromkeys(text for _, _, text in texts))

    def _lines(self, row: int, column: MappedColumn) -> list[str]:
        """Return the lines of a cell without their bullets."""
        lines = [line for line in self._text(row, column).split("\n") if line.strip()]
        bare = [BULLET.sub("", line).strip() for line in lines]
        if len(lines) > 1 or bare != lines:
            message = (
                f"The lines of the cell became {len(bare)} steps; their numbers were left out."
            )
            self.report.take(row, column, changed(" | ".join(bare), "lines-as-steps", message))
        return bare

    def _beside(self, row: int, column: MappedColumn | None, steps: int) -> list[str]:
        """Return the texts beside the steps: line by line if there are as many, else as one."""
        text = self._text(row, column)
        lines = [BULLET.sub("", line).strip() for line in text.split("\n") if line.strip()]
        return lines if len(lines) == steps or not lines else [text]

    def _listed_parts(self, row: int, column: MappedColumn) -> list[tuple[str, float]]:
        """Return the parts in a cell with the quantities that stand beside them there."""
        text = self._text(row, column)
        if not text or text in self.parts:
            return [(text, 1.0)] if text else []
        parts = [self._part(item.strip()) for item in PARTED.split(text) if item.strip()]
        if parts != [(text, 1.0)]:
            became = "; ".join(f"{part} x {quantity:g}" for part, quantity in parts)
            message = "The cell was parted into parts and quantities."
            self.report.take(row, column, changed(became, "list-parted", message))
        return parts

    def _part(self, item: str) -> tuple[str, float]:
        """Return the part and the quantity that one piece of a list names."""
        if item not in self.parts:
            if match := TIMES_BEFORE.fullmatch(item):
                return match[2].strip(), _amount(match[1])
            if match := TIMES_BEHIND.fullmatch(item):
                return match[1].strip(), _amount(match[2] or match[3] or match[4])
        return item, 1.0

    def _quantities(self, row: int, count: int) -> list[float]:
        """Return the quantities in their own column, as many as there are parts; or none."""
        column = self.mapping.of(Target.PART_QUANTITY)
        raw = self.report.raw(row, column)
        if is_empty(raw):
            return []
        if not count:
            message = "A quantity without a part beside it was left out."
            self.report.take(row, column, left_out("quantity-alone", message))
            return []
        pieces = re.split(r"[;\n]+", raw) if isinstance(raw, str) and count > 1 else [raw]
        readings = [read_number(piece) for piece in pieces]
        amounts = [r.value for r in readings if isinstance(r.value, Decimal) and r.value >= 0]
        if len(amounts) == len(pieces) == count:
            self.report.take(row, column, readings[0])
            return [float(amount) for amount in amounts]
        message = f"It is not one quantity for each of the {count} parts; 1 was taken."
        if count == 1:
            message = readings[0].message or "A quantity must not be negative; 1 was taken."
        said = refused("quantity-not-read", message, "Correct the quantity.")
        self.report.take(row, column, said, "1")
        return []

    def _text(self, row: int, column: MappedColumn | None) -> str:
        """Return the text of a cell, and note what was not taken as it stands."""
        value = self.report.take(row, column, read_text(self.report.raw(row, column)))
        return value if isinstance(value, str) else ""


def _amount(text: str) -> float:
    """Return a quantity beside a part."""
    return float(text.replace(",", "."))
