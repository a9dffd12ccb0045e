"""Where one value of a product stands, by the keys of its record."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CellPlace:
    """One value of the product."""

    table: str
    field: str
    owner: str = ""  # to which task, line or shift its record belongs; empty: to the product
    key: tuple[str, ...] = ()  # which record of the list; empty: there is one only
