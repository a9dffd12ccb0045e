"""Marks of direction: values such as "1.2 Nm" keep their order in lines read from the right."""

import re
from typing import Any

TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]")
"""Letters of scripts written from right to left."""
LEFT_TO_RIGHT = "\N{LEFT-TO-RIGHT MARK}"
# A number and the Latin unit or code that follows it: "1.2 Nm", "620 ± 5 mm", "110-FN". Without
# the mark the unit would be set left of its number (Unicode Standard Annex 9, rules W7 and N1).
NUMBER = r"[+\u2212-]?\d[\d.,:/\u00d7x\u2013-]*(?: ?\u00b1 ?\d[\d.,]*)?"
LATIN = r"[A-Za-z\u00b5\u03bc\u2126\u03a9\u00b0%]"
VALUE = re.compile(rf"(?<![\w.,\u200e])(?={NUMBER}[ \u00a0]?{LATIN})")
NAMES = frozenset({"picture", "code_svg", "code_content", "kind", "symbol"})
"""Keys of what is no text."""


def marked(text: str) -> str:
    """Return text with a mark before every number that has a Latin unit, where it is needed."""
    return VALUE.sub(LEFT_TO_RIGHT, text) if TO_LEFT.search(text) else text


def with_marks(content: Any) -> Any:
    """Return the data of a card with marks in all its texts."""
    if isinstance(content, str):
        return marked(content)
    if isinstance(content, dict):
        return {k: v if k in NAMES else with_marks(v) for k, v in content.items()}
    if isinstance(content, (list, tuple)):
        return [with_marks(value) for value in content]
    return content
