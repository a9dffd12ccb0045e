"""What a station needs at hand, gathered from its tasks: parts, tools, cautions."""

from collections.abc import Iterable
from decimal import Decimal

from stationflow.cards.card import CardCaution, CardPart, CardTool, Protection
from stationflow.cards.words import say
from stationflow.model import DEFER, HAZARD_ADVICE, Hazard, Product, Task
from stationflow.units import exact


def card_parts(
    product: Product, tasks: Iterable[Task], language: str = "en"
) -> tuple[CardPart, ...]:
    """Return the parts of a station in order of use, each once with its whole quantity."""
    quantities: dict[str, Decimal] = {}
    places: dict[str, list[int]] = {}
    for place, task in enumerate(tasks, start=1):
        for use in task.parts:
            quantities[use.part] = quantities.get(use.part, Decimal(0)) + exact(use.quantity)
            places.setdefault(use.part, []).append(place)
    cards = []
    for number, quantity in quantities.items():
        part = product.part(number)
        cards.append(
            CardPart(
                number=number,
                name=part.name if part else "",
                quantity=_plain(quantity),
                unit=say(language, part.unit_label) if part else "",
                container=part.container if part else "",
                tasks=_listed(places[number]),
            )
        )
    return tuple(cards)


def card_tools(tasks: Iterable[Task]) -> tuple[CardTool, ...]:
    """Return tools with their settings in order of use; two settings of one tool are two rows."""
    places: dict[tuple[str, str], list[int]] = {}
    for place, task in enumerate(tasks, start=1):
        for use in task.tools:
            places.setdefault((use.tool, use.setting), []).append(place)
    return tuple(
        CardTool(tool=tool, setting=setting, tasks=_listed(at))
        for (tool, setting), at in places.items()
    )


def card_cautions(tasks: Iterable[Task], language: str = "en") -> tuple[CardCaution, ...]:
    """Return the cautions of a station, one for each hazard, in order of use.

    `DEFER` is left out of the single caution: it stands once below all of them.
    """
    texts: dict[Hazard, list[str]] = {}
    places: dict[Hazard, list[int]] = {}
    for place, task in enumerate(tasks, start=1):
        for caution in task.cautions:
            usual = HAZARD_ADVICE[caution.hazard].caution
            words = caution.words.replace(DEFER, "").strip() or usual
            texts.setdefault(caution.hazard, []).append(
                say(language, words) if words == usual else words
            )
            places.setdefault(caution.hazard, []).append(place)
    return tuple(
        CardCaution(
            symbol=hazard.value,
            title=say(language, HAZARD_ADVICE[hazard].title),
            texts=tuple(dict.fromkeys(said)),
            tasks=_listed(places[hazard]),
        )
        for hazard, said in texts.items()
    )


def card_protection(tasks: Iterable[Task], language: str = "en") -> tuple[Protection, ...]:
    """Return the protective equipment for all hazards of a station, each once."""
    hazards = dict.fromkeys(caution.hazard for task in tasks for caution in task.cautions)
    words = dict.fromkeys(word for hazard in hazards for word in HAZARD_ADVICE[hazard].protection)
    return tuple(
        Protection(symbol=protection_symbol(word), word=say(language, word)) for word in words
    )


def protection_symbol(word: str) -> str:
    """Return the name of the symbol of a piece of protective equipment.

    >>> protection_symbol("eye protection")
    'eye-protection'
    """
    return word.replace(" ", "-")


def _plain(quantity: Decimal) -> str:
    """Return a quantity without needless zeros: "2", "0.35"."""
    return f"{quantity.normalize():f}"


def _listed(places: list[int]) -> str:
    """Return places on the card as text: "1, 3"."""
    return ", ".join(str(place) for place in dict.fromkeys(places))
