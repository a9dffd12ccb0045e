"""What a change of tasks gives, and which task a mention of a number means."""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.errors import StationflowError
from stationflow.model import Product


class TaskChangeError(StationflowError):
    """A change of tasks that cannot be made; nothing was changed."""


@dataclass(frozen=True, slots=True)
class TaskChange:
    """What a change of tasks would make of a product; not yet stored."""

    product: Product  # the product after the change
    chosen: int | None  # place of the task to look at next in `product.tasks`; None: none is left
    words: str  # what happens, in whole sentences, for the preview and for the report


def is_named(product: Product, place: int) -> bool:
    """Return whether mentions of its number mean this task: it is the first that bears it."""
    number = product.tasks[place].number
    return bool(number) and [task.number for task in product.tasks].index(number) == place


def words_of(numbers: Sequence[str]) -> str:
    """Return task numbers as they are said: "10, 20 and 30"."""
    shown = [number or "(no number)" for number in numbers]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"
