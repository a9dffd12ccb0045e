"""The fixed words of a card in the language of its readers, and the direction it is read in.

English phrases are the keys; the folder `words_of` holds one table for each further
language. What the engineer typed is never translated.
"""

import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import StrEnum
from functools import cache
from pathlib import Path

DECIMAL_MARK = "decimal mark"
HERE = Path(__file__).parent / "words_of"


class Language(StrEnum):
    """A language of the fixed words, by its code of ISO 639-1."""

    ENGLISH = "en"
    GERMAN = "de"
    FRENCH = "fr"
    SPANISH = "es"
    ARABIC = "ar"

    @property
    def label(self) -> str:
        """The language by its own name."""
        return LABELS[self]


LABELS = {
    Language.ENGLISH: "English",
    Language.GERMAN: "Deutsch",
    Language.FRENCH: "Français",
    Language.SPANISH: "Español",
    Language.ARABIC: "العربية",
}


@cache
def phrases(language: str) -> Mapping[str, str]:
    """Return the table of a language: English phrase to its own; empty for English."""
    if language == Language.ENGLISH:
        return {}
    return tomllib.loads((HERE / f"{language}.toml").read_text("utf-8"))


def say(language: str, phrase: str, **values: object) -> str:
    """Return a fixed phrase in a language, with values put in; unknown phrases stay as they are.

    >>> say("de", "idle {time}", time="7.0 s")
    'frei 7.0 s'
    """
    words = phrases(language).get(phrase, phrase)
    for name, value in values.items():  # not str.format: values may hold braces
        words = words.replace("{" + name + "}", str(value), 1)
    return words


def number_words(language: str, number: Decimal) -> str:
    """Return a number with the decimal mark of a language.

    >>> number_words("de", Decimal("81.8"))
    '81,8'
    """
    return f"{number:f}".replace(".", phrases(language).get(DECIMAL_MARK, "."))


def is_right_to_left(texts: Iterable[str]) -> bool:
    """Return whether most letters of the texts are of a script written from right to left."""
    to_left = to_right = 0
    for text in texts:
        if text.isascii():
            to_right += len(text)
            continue
        kinds = [unicodedata.bidirectional(c) for c in text]
        to_left += sum(kind in ("R", "AL") for kind in kinds)
        to_right += kinds.count("L")
    return to_left > to_right


def language_of(texts: Iterable[str]) -> Language:
    """Return the language for texts where none is chosen: Arabic for Arabic letters, else English.

    Languages that share an alphabet are not told apart: that is the engineer's choice.
    """
    arabic = other = 0
    for text in texts:
        for character in text:
            if character.isalpha():
                is_arabic = "\u0600" <= character <= "\u06ff"
                arabic, other = arabic + is_arabic, other + (not is_arabic)
    return Language.ARABIC if arabic > other else Language.ENGLISH


def is_written_to_left(text: str) -> bool:
    """Return whether the first letter of a text is of a script written from right to left.

    Source: Unicode Standard Annex 9, rules P2 and P3.
    """
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind in ("L", "R", "AL"):
            return kind != "L"
    return False
