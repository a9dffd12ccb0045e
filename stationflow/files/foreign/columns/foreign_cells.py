"""Single cells of a stranger: numbers that tell tasks apart, texts, plain numbers, yes or no."""

import re
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from stationflow.files.foreign.foreign_sheet import (
    DateCell,
    FormulaWithoutValue,
    RawCell,
    ShownNumber,
    stood,
)
from stationflow.files.foreign.heading_words import (
    DASHES,
    NO_WORDS,
    NOTHING_WORDS,
    YES_WORDS,
    simplified,
)
from stationflow.files.foreign.import_report import (
    NOTHING,
    Answers,
    Reading,
    changed,
    left_out,
    offered,
    refused,
)
from stationflow.files.foreign.sheets.cell_styles import bare_format
from stationflow.model.schema.cells import (
    INVISIBLE,
    LARGEST_NUMBER,
    LONGEST_NUMBER,
    FormulaError,
    plain_number,
    tidy,
)
from stationflow.model.size_limits import LONGEST_TEXT
from stationflow.units import exact

PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
COMMA = re.compile(r"[+-]?\d*,\d+", re.ASCII)
COMMA_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+", re.ASCII)
POINT_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+", re.ASCII)
BLANK_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:[ '\u2019]\d{3})+(?:[.,]\d+)?", re.ASCII)
SIGN_FRACTIONS = {
    "\u00bd": ("1", "2"), "\u00bc": ("1", "4"), "\u00be": ("3", "4"), "\u2153": ("1", "3"),
    "\u2154": ("2", "3"), "\u215b": ("1", "8"),
}  # fmt: skip
FRACTION = re.compile(
    rf"(?:(?P<whole>\d{{1,4}})[ +]?)??(?:(?P<a>\d{{1,2}})\s?[/\u2044]\s?(?P<b>\d{{1,3}})|"
    rf"(?P<sign>[{''.join(SIGN_FRACTIONS)}]))"
)
BOTH = re.compile(r"[+-]?[1-9]\d{0,2}(?:([.,])\d{3})+([.,])\d+", re.ASCII)
CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
BLANKS = re.compile(r"[^\S\n\t ]|[\u200b\u2060\ufeff]")
DASH = re.compile(rf"[{DASHES}]")
# What spreadsheet programs show for a failed formula; some translate it.
FAILED = re.compile(
    r"#(?:DIV/0!|N/A|NAME\?|REF!|VALUE!|NUM!|NULL!|NV|WERT!|BEZUG!|ZAHL!|VALEUR!|NOM\?|NOMBRE!|"
    r"¡VALOR!|¡DIV/0!|DZIEL/0!|ARG!)"
)
ABOUT = re.compile(r"(?:~|≈|ca\.?|approx\.?|about|env\.?|etwa)\s*(?=\d)", re.IGNORECASE)


def is_empty(raw: RawCell) -> bool:
    """Return whether nothing stands in a cell; blanks of any kind are nothing."""
    if not isinstance(raw, str):
        return raw is None
    text = raw.strip()
    return not text or (text[0] in INVISIBLE and not BLANKS.sub(" ", text).strip())


def plain_text(raw: str) -> str:
    """Return a text without blanks at its ends, other blanks plain, dashes hyphens."""
    return DASH.sub("-", tidy(BLANKS.sub(" ", raw).strip(INVISIBLE)))


def without_value(raw: RawCell) -> Reading | None:
    """Return what becomes of a cell that holds nothing, or a formula without result."""
    if is_empty(raw):
        return NOTHING
    if isinstance(raw, FormulaError) or (isinstance(raw, str) and FAILED.fullmatch(raw.strip())):
        return refused("formula-error", "The formula has an error, so there is no value.")
    if isinstance(raw, FormulaWithoutValue):
        hint = "Open the file in a spreadsheet program, save it, and give it again."
        message = "The file does not hold the formula's result."
        return refused("formula-without-value", message, hint)
    return None


def read_text(raw: RawCell) -> Reading:
    """Read free text: blanks at the ends and control characters do not count."""
    if (without := without_value(raw)) is not None:
        return without
    if isinstance(raw, DateCell):
        message = "A spreadsheet program made a date of it; it may have been typed otherwise."
        return changed(str(raw), "date", message, "Compare it with the paper.")
    if not isinstance(raw, str):
        return Reading(stood(raw))
    if len(raw) > LONGEST_TEXT:
        message = f"The text has {len(raw)} characters; at most {LONGEST_TEXT} are kept."
        return refused("text-too-long", message, "Shorten the text.")
    if raw.isprintable() and raw == raw.strip():  # the usual case, told quickly
        return Reading(raw)
    clean = BLANKS.sub(" ", CONTROLS.sub("", raw.replace("\r\n", "\n").replace("\r", "\n")))
    clean = clean.strip()
    if clean == raw:
        return Reading(clean)
    if CONTROLS.search(raw):
        return changed(clean, "control-characters", "Control characters were taken out.")
    if clean == raw.strip():
        return changed(clean, "blanks-at-the-ends", "Blanks at its ends were taken off.")
    return changed(clean, "unusual-blanks", "Non-breaking or invisible blanks were made plain.")


def read_key(raw: RawCell, answers: Answers | None = None) -> Reading:
    """Read a number that tells things apart; 10.0 is "10", and "0012" keeps its zeros."""
    if isinstance(raw, DateCell):
        return _key_of_date(raw, (answers or {}).get("date-numbers", ""))
    if isinstance(raw, bool):
        return refused("not-a-number", "A number that tells tasks apart cannot be TRUE or FALSE.")
    reading = read_text(raw)
    if not isinstance(raw, str) or not isinstance(reading.value, str):
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


def _key_of_date(raw: DateCell, said: str) -> Reading:
    """Return the number that became a date, as was said."""
    forms = typed_forms(raw)
    if said == "leave-out":
        return left_out("date", "A spreadsheet program made a date of the number.")
    if not said or not forms:
        month, day = (forms[0], forms[-1]) if forms else ("?", "?")
        message = "A spreadsheet program made a date of the number."
        hint, words = "Say what was typed.", " or ".join(forms)
        return offered("date-numbers", "date", message, hint, forms=words, month=month, day=day)
    form = forms[0] if said == "month" else forms[-1]
    return changed(form, "date", f"The date was turned back into {form}.")


def read_number(raw: RawCell, decimal: str = "") -> Reading:
    """Read a plain number as `Decimal`; `decimal` is the sign before decimals, empty: not known."""
    if (without := without_value(raw)) is not None:
        return without
    if isinstance(raw, DateCell):
        message = "A spreadsheet program made a date of the number."
        return offered("", "date", message, "Say what was typed.")
    if isinstance(raw, str):
        reading = _written_number(raw, decimal)
    elif isinstance(raw, ShownNumber) and raw.shown.endswith("%"):
        return refused("percentage", "It is shown as a percentage, which is no such number.")
    elif isinstance(raw, int | float | ShownNumber) and not isinstance(raw, bool):
        reading = Reading(exact(raw.value if isinstance(raw, ShownNumber) else raw))
    else:
        return refused("not-a-number", "It must be a number.")
    if isinstance(reading.value, Decimal) and abs(reading.value) > LARGEST_NUMBER:
        return refused("number-too-large", "The number is too large.")
    return reading


def as_shown(raw: RawCell, answers: Answers) -> RawCell | Reading:
    """Return a cell as it is meant where its format shows thousands, or the question about it."""
    if not isinstance(raw, ShownNumber) or not raw.is_scaled:
        return raw
    if not (said := answers.get("shown-thousands")):
        message = f"The cell holds {plain_number(raw.value)} and shows {raw.shown}."
        return offered("shown-thousands", "shown-thousands", message, kept=plain_number(raw.value))
    return float(raw.shown) if said == "shown" else raw.value


def _written_number(raw: str, decimal: str) -> Reading:
    """Read the number that a text writes."""
    if (decimal == "." or "." not in raw) and len(raw) < 30 and PLAIN.fullmatch(raw):  # usual
        return Reading(Decimal(raw))
    text = plain_text(raw)
    if text.casefold() in NOTHING_WORDS:
        return left_out("no-value", f"{text!r} says that there is none.")
    bare = ABOUT.sub("", text)
    number = _number_of(bare, decimal) if len(text) <= LONGEST_NUMBER else None
    if number is None:
        return refused("not-a-number", "It must be a number.")
    if isinstance(number, Reading):
        return number
    if bare != text:
        return changed(number, "about", "The number was taken without the word for about.")
    if bare != raw:
        return changed(number, "blanks-at-the-ends", "Blanks and unusual signs were taken off.")
    if PLAIN.fullmatch(bare) and number == Decimal(bare):
        return Reading(number)
    if FRACTION.fullmatch(bare):
        return changed(number, "fraction", f"Read as {plain_number(float(number))}.")
    if COMMA.fullmatch(bare) and number == Decimal(bare.replace(",", ".")):
        return changed(number, "decimal-comma", "The comma was read as the decimal sign.")
    return changed(number, "thousands", "Signs that part thousands were taken out.")


def _number_of(text: str, decimal: str) -> Decimal | Reading | None:
    """Return the number of a bare text, a question when it has two meanings, or None."""
    if (match := BOTH.fullmatch(text)) and match[1] != match[2]:
        return Decimal(text.replace(match[1], "").replace(",", "."))
    if BLANK_THOUSANDS.fullmatch(text):
        return Decimal(re.sub(r"[ '\u2019]", "", text).replace(",", "."))
    if POINT_THOUSANDS.fullmatch(text):
        bare = text.replace(".", "")
        if decimal == "," or text.count(".") > 1:
            return Decimal(bare)
        return Decimal(text) if decimal else _two_meanings(text, comma=bare, point=text)
    if (fraction := _fraction(text)) is not None:
        return fraction
    if PLAIN.fullmatch(text):
        return Decimal(text)
    if not COMMA.fullmatch(text) and not COMMA_THOUSANDS.fullmatch(text):
        return None
    point, bare = text.replace(",", "."), text.replace(",", "")
    if not COMMA_THOUSANDS.fullmatch(text):
        return Decimal(point)
    if text.count(",") > 1 or decimal:
        return Decimal(point if decimal == "," and text.count(",") == 1 else bare)
    return _two_meanings(text, comma=point, point=bare)


def _two_meanings(text: str, *, comma: str, point: str) -> Reading:
    """Ask what a sign parts; `comma`, `point`: the number if these stand before decimals."""
    message = "Its sign may part thousands or decimals."
    shown = {"comma": plain_number(float(comma)), "point": plain_number(float(point))}
    return offered("comma", "thousands-or-decimals", message, example=text, **shown)


def _fraction(text: str) -> Decimal | None:
    """Return the number that "1 1/2", "1/2" or "1\u00bd" writes; None: it is no plain fraction."""
    match = FRACTION.fullmatch(text)
    if match is None:
        return None
    above, below = SIGN_FRACTIONS[match["sign"]] if match["sign"] else (match["a"], match["b"])
    if not 0 < int(above) < int(below):
        return None
    return int(match["whole"] or 0) + Decimal(int(above)) / int(below)


def decimal_sign(cells: Iterable[RawCell]) -> str:
    """Return the sign before decimals that the texts of a column show; empty: they do not tell."""
    commas = points = False
    for raw in cells:
        if not isinstance(raw, str):
            continue
        text = tidy(raw)
        if COMMA_THOUSANDS.fullmatch(text) and text.count(",") > 1:
            points = True
        elif POINT_THOUSANDS.fullmatch(text) and text.count(".") > 1:
            commas = True
        elif match := BOTH.fullmatch(text):
            commas, points = commas or match[2] == ",", points or match[2] == "."
        elif COMMA.fullmatch(text):
            commas = commas or not COMMA_THOUSANDS.fullmatch(text)
        elif "." in text and PLAIN.fullmatch(text):
            points = points or not POINT_THOUSANDS.fullmatch(text)
    return "" if commas == points else "," if commas else "."


def read_yes_no(raw: RawCell) -> Reading:
    """Read whether a task is a machine's; words of eight languages, or a cross."""
    if (without := without_value(raw)) is not None:
        return without
    if isinstance(raw, bool):
        return Reading(raw)
    word = tidy(plain_number_of(raw)).casefold()
    for value, words, own in ((True, YES_WORDS, "yes true"), (False, NO_WORDS, "no false")):
        if word in words or simplified(word) in words:
            code = own.split()[0]
            is_own = word in own.split()
            return Reading(value) if is_own else changed(value, code, f"Read as {code}.")
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
