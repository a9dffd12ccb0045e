"""What a station needs at hand, gathered from its tasks: parts, tools, cautions."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from stationflow.cards.card import CardCaution, CardPart, CardTool, Protection
from stationflow.cards.words import number_words, say
from stationflow.model import DEFER, HAZARD_ADVICE, Hazard, Part, Product, Task
from stationflow.network.line_tree import line_tree
from stationflow.units import exact


def card_parts(
    product: Product, tasks: Iterable[Task], language: str = "en"
) -> tuple[CardPart, ...]:
    """Return the parts of a station in order of use, each once with its whole quantity.

    Before the parts of a join stand the units of the feeders that it takes.
    """
    quantities: dict[Part, Decimal] = {}
    places: dict[Part, list[int]] = {}
    for place, task in enumerate(tasks, start=1):
        for part, quantity in (*_units(product, task, language), *_parts(product, task)):
            quantities[part] = quantities.get(part, Decimal(0)) + exact(quantity)
            places.setdefault(part, []).append(place)
    return tuple(
        CardPart(
            number=part.number,
            name=part.name,
            quantity=number_words(language, quantity.normalize()),
            unit=say(language, part.unit_label) if part in product.parts or part.name else "",
            container=part.container,
            tasks=_listed(places[part]),
        )
        for part, quantity in quantities.items()
    )


def _parts(product: Product, task: Task) -> Iterator[tuple[Part, float]]:
    """Yield the parts a task uses; one that is not on the list has its number only."""
    for use in task.parts:
        yield product.part(use.part) or Part(number=use.part), use.quantity


def _units(product: Product, task: Task, language: str) -> Iterator[tuple[Part, float]]:
    """Yield the units of the feeders that join at a task; one it lists as a part is left out."""
    listed = {use.part for use in task.parts}
    tree = line_tree(product)
    for join in tree.feeders(task.line):
        if join.join == task.number and join.line not in listed:
            name = say(language, "unit of {line}", line=tree.lines[join.line].label)
            yield Part(number="", name=name), join.quantity


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


def _listed(places: list[int]) -> str:
    """Return places on the card as text: "1, 3"."""
    return ", ".join(str(place) for place in dict.fromkeys(places))
