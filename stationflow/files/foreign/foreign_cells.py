"""Single cells of a stranger: numbers that tell tasks apart, texts, plain numbers, yes or no."""

import re
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from stationflow.files.foreign.cell_styles import bare_format
from stationflow.files.foreign.foreign_sheet import (
    DateCell,
    FormulaWithoutValue,
    RawCell,
    ShownNumber,
)
from stationflow.files.foreign.heading_words import (
    DASHES,
    NO_WORDS,
    NOTHING_WORDS,
    YES_WORDS,
    simplified,
)
from stationflow.files.foreign.import_report import Outcome
from stationflow.model.schema.cells import INVISIBLE, LONGEST_TEXT, FormulaError, plain_number, tidy
from stationflow.units import exact

LARGEST = Decimal(10) ** 15
PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
COMMA = re.compile(r"[+-]?\d*,\d+", re.ASCII)
COMMA_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+", re.ASCII)
POINT_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+", re.ASCII)
BLANK_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:[ '\u2019]\d{3})+(?:[.,]\d+)?", re.ASCII)
BOTH = re.compile(r"[+-]?[1-9]\d{0,2}(?:([.,])\d{3})+([.,])\d+", re.ASCII)
CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
BLANKS = re.compile(r"[^\S\n\t ]|[\u200b\u2060\ufeff]")
# What spreadsheet programs show for a failed formula; some translate it.
FAILED = re.compile(
    r"#(?:DIV/0!|N/A|NAME\?|REF!|VALUE!|NUM!|NULL!|NV|WERT!|BEZUG!|ZAHL!|VALEUR!|NOM\?|NOMBRE!|"
    r"¡VALOR!|¡DIV/0!|DZIEL/0!|ARG!)"
)
ABOUT = re.compile(r"(?:~|≈|ca\.?|approx\.?|about|env\.?|etwa)\s*(?=\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read from a cell.

    Attributes
    ----------
    value
        The value; None: nothing stands there, or it could not be read.
    severity
        What became of the cell; None: it was taken exactly as it stands.
    code, message, hint
        See `CellReport`.
    """

    value: object = None
    severity: Outcome | None = None
    code: str = ""
    message: str = ""
    hint: str = ""


NOTHING = Reading()


def refused(code: str, message: str, hint: str = "Correct the cell.") -> Reading:
    """Return a cell that could not be read."""
    return Reading(None, Outcome.ERROR, code, message, hint)


def changed(value: object, code: str, message: str, hint: str = "") -> Reading:
    """Return a cell that was not taken letter by letter."""
    return Reading(value, Outcome.CHANGED, code, message, hint)


def is_empty(raw: RawCell) -> bool:
    """Return whether nothing stands in a cell; blanks of any kind are nothing."""
    if not isinstance(raw, str):
        return raw is None
    text = raw.strip()
    return not text or (text[0] in INVISIBLE and not BLANKS.sub(" ", text).strip())


def without_result(raw: RawCell) -> Reading | None:
    """Return the refusal of a formula that failed or whose result is not in the file."""
    if isinstance(raw, FormulaError) or (isinstance(raw, str) and FAILED.fullmatch(raw.strip())):
        return refused("formula-error", "The formula has an error, so there is no value.")
    if isinstance(raw, FormulaWithoutValue):
        hint = "Open the file in a spreadsheet program, save it, and give it again."
        return refused(
            "formula-without-value", "The file does not hold the formula's result.", hint
        )
    return None


def read_text(raw: RawCell) -> Reading:
    """Read free text: blanks at the ends and control characters do not count."""
    if is_empty(raw):
        return NOTHING
    if refusal := without_result(raw):
        return refusal
    if isinstance(raw, DateCell):
        message = "A spreadsheet program made a date of it; it may have been typed otherwise."
        return changed(str(raw), "date", message, "Compare it with the paper.")
    if isinstance(raw, bool):
        return Reading("TRUE" if raw else "FALSE")
    if isinstance(raw, ShownNumber):
        return Reading(raw.shown)
    if isinstance(raw, int | float):
        return Reading(plain_number(raw))
    text = str(raw)
    if len(text) > LONGEST_TEXT:
        message = f"The text has {len(text)} characters; at most {LONGEST_TEXT} are kept."
        return refused("text-too-long", message, "Shorten the text.")
    if text.isprintable() and text == text.strip():  # the usual case, told quickly
        return Reading(text)
    clean = BLANKS.sub(" ", CONTROLS.sub("", text.replace("\r\n", "\n").replace("\r", "\n")))
    clean = clean.strip()
    if clean == text:
        return Reading(clean)
    if CONTROLS.search(text):
        return changed(clean, "control-characters", "Control characters were taken out.")
    if clean == text.strip():
        return changed(clean, "blanks-at-the-ends", "Blanks at its ends were taken off.")
    return changed(clean, "unusual-blanks", "Non-breaking or invisible blanks were made plain.")


def read_key(raw: RawCell) -> Reading:
    """Read a number that tells things apart; 10.0 is "10", and "0012" keeps its zeros."""
    if isinstance(raw, DateCell):
        message = "A spreadsheet program made a date of the number."
        return Reading(None, Outcome.OFFERED, "date", message, "Say what was typed.")
    if isinstance(raw, ShownNumber):
        return Reading(raw.shown)
    if isinstance(raw, bool):
        return refused("not-a-number", "A number that tells tasks apart cannot be TRUE or FALSE.")
    reading = read_text(raw)
    if not isinstance(reading.value, str) or isinstance(raw, int | float):
        return reading
    text = " ".join(reading.value.split())
    if re.fullmatch(r"'\d+", text):
        return changed(text[1:], "apostrophe", "The apostrophe before the number was taken off.")
    if re.fullmatch(r"\d+[.,]0+", text, re.ASCII):
        whole = re.split(r"[.,]", text)[0]
        return changed(whole, "decimals-taken-off", "Decimals that are zero were taken off.")
    if text != reading.value:
        return changed(text, "blanks-inside", "Doubled blanks and line ends became one blank.")
    return reading


def read_number(raw: RawCell, decimal: str = "") -> Reading:
    """Read a plain number as `Decimal`.

    Parameters
    ----------
    decimal
        The sign before decimals in this column, "." or ","; empty: not known.
    """
    if is_empty(raw):
        return NOTHING
    if refusal := without_result(raw):
        return refusal
    if isinstance(raw, bool):
        return refused("not-a-number", "It must be a number.")
    if isinstance(raw, DateCell):
        message = "A spreadsheet program made a date of the number."
        return Reading(None, Outcome.OFFERED, "date", message, "Say what was typed.")
    if isinstance(raw, ShownNumber):
        return _within(Reading(exact(raw.value)))
    if isinstance(raw, int | float):
        return _within(Reading(exact(raw)))
    return _within(_written_number(str(raw), decimal))


def _within(reading: Reading) -> Reading:
    """Refuse a number that is beyond all measure."""
    if isinstance(reading.value, Decimal) and abs(reading.value) > LARGEST:
        return refused("number-too-large", "The number is too large.")
    return reading


def _written_number(raw: str, decimal: str) -> Reading:
    """Read the number that a text writes."""
    if decimal != "," and len(raw) < 30 and PLAIN.fullmatch(raw):  # the usual case
        return Reading(Decimal(raw))
    text = tidy(BLANKS.sub(" ", raw).strip(INVISIBLE))
    text = re.sub(rf"[{DASHES}]", "-", text)
    if text.casefold() in NOTHING_WORDS:
        return Reading(None, Outcome.LEFT_OUT, "no-value", f"{text!r} says that there is none.")
    if len(text) > 60:
        return refused("not-a-number", "It must be a number.")
    bare = ABOUT.sub("", text)
    number = _number_of(bare, decimal)
    if isinstance(number, Reading):
        return number
    if number is None:
        return refused("not-a-number", "It must be a number.")
    if bare != text:
        return changed(number, "about", "The number was taken without the word for about.")
    if bare != raw:
        return changed(number, "blanks-at-the-ends", "Blanks and unusual signs were taken off.")
    return Reading(number) if PLAIN.fullmatch(bare) and decimal != "," else _told(number, bare)


def _told(number: Decimal, text: str) -> Reading:
    """Return a number whose signs for decimals or thousands were read."""
    if PLAIN.fullmatch(text) and number == Decimal(text):
        return Reading(number)
    if COMMA.fullmatch(text) and "." not in text and number == Decimal(text.replace(",", ".")):
        return changed(number, "decimal-comma", "The comma was read as the decimal sign.")
    return changed(number, "thousands", "Signs that part thousands were taken out.")


def _number_of(text: str, decimal: str) -> Decimal | Reading | None:
    """Return the number of a bare text, a refusal when it has two meanings, or None."""
    if match := BOTH.fullmatch(text):
        if match[1] == match[2]:
            return None
        return Decimal(text.replace(match[1], "").replace(",", "."))
    if BLANK_THOUSANDS.fullmatch(text):
        return Decimal(re.sub(r"[ '\u2019]", "", text).replace(",", "."))
    if POINT_THOUSANDS.fullmatch(text) and (decimal == "," or text.count(".") > 1):
        return Decimal(text.replace(".", ""))
    if PLAIN.fullmatch(text):
        return Decimal(text)
    if COMMA_THOUSANDS.fullmatch(text):
        if text.count(",") > 1 or decimal == ".":
            return Decimal(text.replace(",", ""))
        if decimal == ",":
            return Decimal(text.replace(",", "."))
        message = "The comma may part thousands or decimals."
        return Reading(None, Outcome.OFFERED, "thousands-or-decimals", message, "Say which.")
    if COMMA.fullmatch(text):
        return Decimal(text.replace(",", "."))
    return None


def decimal_sign(cells: list[RawCell]) -> str:
    """Return the sign before decimals that the texts of a column show; empty: they do not tell."""
    commas = points = False
    for raw in cells:
        if not isinstance(raw, str):
            continue
        text = tidy(raw)
        if match := BOTH.fullmatch(text):
            commas, points = commas or match[2] == ",", points or match[2] == "."
        elif COMMA.fullmatch(text):
            commas = commas or not COMMA_THOUSANDS.fullmatch(text)
        elif "." in text and PLAIN.fullmatch(text):
            points = points or not POINT_THOUSANDS.fullmatch(text)
    return "" if commas == points else "," if commas else "."


def read_yes_no(raw: RawCell) -> Reading:
    """Read whether a task is a machine's; words of eight languages, or a cross."""
    if is_empty(raw):
        return NOTHING
    if refusal := without_result(raw):
        return refusal
    if isinstance(raw, bool):
        return Reading(raw)
    word = tidy(str(raw) if isinstance(raw, str) else plain_number_of(raw)).casefold()
    if word in YES_WORDS or simplified(word) in YES_WORDS:
        return Reading(True) if word in {"yes", "true"} else changed(True, "yes", "Read as yes.")
    if word in NO_WORDS or simplified(word) in NO_WORDS:
        return Reading(False) if word in {"no", "false"} else changed(False, "no", "Read as no.")
    return refused("not-yes-or-no", "It must be yes or no.")


def plain_number_of(raw: RawCell) -> str:
    """Return a number cell as plain text; other cells as they are shown."""
    if isinstance(raw, ShownNumber):
        return plain_number(raw.value)
    return plain_number(raw) if isinstance(raw, int | float) else str(raw)


def typed_forms(cell: DateCell) -> tuple[str, ...]:
    """Return what may have been typed for a spreadsheet program to make this date of it.

    "1-2" becomes 2 January or 1 February, by the program's language; "3-25" may become
    March 2025. The form that fits the number format best stands first.

    >>> from datetime import datetime
    >>> typed_forms(DateCell(datetime(2026, 1, 2), "d-mmm"))
    ('1-2', '2-1')
    """
    if not isinstance(cell.value, datetime):
        return ()
    day, month, year = cell.value.day, cell.value.month, cell.value.year % 100
    bare = bare_format(cell.number_format).lower()
    if "d" not in bare and day == 1:
        return (f"{month}-{year}",)
    return tuple(dict.fromkeys((f"{month}-{day}", f"{day}-{month}")))
