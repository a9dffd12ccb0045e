"""The code on a card: the way to the current version."""

import functools
import io
from urllib.parse import urlencode

from stationflow.cards.card import Code
from stationflow.cards.words import say
from stationflow.model.size_limits import LONGEST_CODE

SHORT_FACT = 60
"""Characters of a fact in a code that has no room for all."""


def card_code(
    *,
    address: str,
    product: str,
    line: str,
    station: int,
    version_label: str,
    language: str = "en",
) -> Code:
    """Return what the code of a card holds, and the same in words.

    Parameters
    ----------
    address
        Address of the operator's page without "/station"; empty: the code holds plain text.
    version_label
        "version 7" or "revision C"; a bare "7" is taken for a version.
    language
        Language of the words beside the code; the code itself is the same in all.

    Examples
    --------
    >>> card_code(
    ...     address="", product="P-100", line="main", station=3, version_label="version 7"
    ... ).content
    'product P-100; line main; station 3; version 7'
    """
    kind, version = kind_and_version(version_label)
    facts = {"product": product, "line": line, "station": str(station), kind: version}
    words = tuple(f"{say(language, name)} {value}" for name, value in facts.items() if value)
    plain = "; ".join(f"{name} {value}" for name, value in facts.items() if value)
    content = f"{address.rstrip('/')}/station?{urlencode(facts)}" if address else plain
    if len(encoded(content)) <= LONGEST_CODE:
        return Code(content=content, words=words)
    short = {name: value[:SHORT_FACT] for name, value in facts.items()}
    plain = "; ".join(f"{name} {value}" for name, value in short.items() if value)
    shown = encoded(plain)[:LONGEST_CODE].decode("utf-8", "ignore")
    return Code(content=shown, words=words, is_shortened=True)


def encoded(text: str) -> bytes:
    """Return text in the bytes a code holds."""
    return text.encode("utf-8", "replace")


def kind_and_version(label: str) -> tuple[str, str]:
    """Split "revision C" into its kind and its name; anything else is a version."""
    first, _, rest = label.strip().partition(" ")
    if first.lower() in ("version", "revision") and rest:
        return first.lower(), rest.strip()
    return "version", label.strip()


@functools.lru_cache(maxsize=1000)
def code_svg(content: str) -> str:
    """Return the code to scan as SVG."""
    import segno

    file = io.BytesIO()
    code = segno.make(content, error="m", micro=False)
    code.save(file, kind="svg", border=1, xmldecl=False, light="#ffffff")
    return file.getvalue().decode("utf-8")
