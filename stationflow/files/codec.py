"""Products, plans and curves as JSON: what is stored, and compared by checksum.

The text is canonical: keys sorted, no blanks, `5` and `5.0` alike, and what is as usual
(the default of its field) left out, so that equal objects give equal text and a field that
comes new to a class changes no text. Each document carries its form, a number that goes up
when a field is renamed, moved or gets another default; a step per form brings an older
document up to the present one. A document that says more than we know is refused, never
cut down.
"""

import hashlib
import json
import types
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Generic, NoReturn, TypeVar

from stationflow.errors import DocumentError, named
from stationflow.files.forms import curve_forms, plan_forms, product_forms
from stationflow.model import Confirmation, HandWork, Plan, Product, StoredCurve

if TYPE_CHECKING:
    from pydantic import TypeAdapter, ValidationError

T = TypeVar("T")
Fields = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Kind(Generic[T]):
    """A kind of document: what it is called, its class, and the steps from older forms."""

    name: str
    of: type[T]
    steps: tuple[Callable[[Fields], Fields], ...] = ()

    @property
    def form(self) -> int:
        """The form that is written."""
        return 1 + len(self.steps)

    def to_json(self, thing: T) -> str:
        """Return the canonical JSON of an object.

        Raises `ValueError` if a number is infinite or not a number, a text cannot be written in
        UTF-8, or a field holds what it is not declared to hold.
        """
        of: Any = self.of
        written = _adapter(of).dump_json(
            (thing,), exclude_defaults=True, ensure_ascii=True, warnings="error"
        )
        fields = json.loads(written, parse_float=_plain_number)[0] | {"form": self.form}
        return json.dumps(
            fields, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False
        )

    def from_json(self, text: str | bytes) -> T:
        """Return the object of a document of this form or an earlier one.

        Raises `DocumentError` if it is no such document, says more than we know, or was written by
        a newer Stationflow.
        """
        from pydantic import ValidationError

        fields = self._fields(text)
        whose = fields.get("code") or fields.get("product")
        called = f"The {self.name} {named(str(whose))}" if whose else f"The {self.name}"
        form = fields.pop("form", 1)
        if type(form) is not int or form < 1:
            raise DocumentError(called, "its form is not a whole number from 1")
        if form > self.form:
            newer = f"it has form {form}, and this Stationflow knows forms up to {self.form}"
            raise DocumentError(called, newer)
        try:
            for step in self.steps[form - 1 :]:
                fields = step(fields)
            of: Any = self.of
            thing: T = _adapter(of).validate_python((fields,))[0]
        except ValidationError as problem:
            _refuse(called, problem)
        except (ValueError, TypeError, AttributeError, KeyError, ArithmeticError) as problem:
            raise DocumentError(called, f"it cannot be read ({problem})") from problem
        return thing

    def _fields(self, text: str | bytes) -> Fields:
        try:
            data = text.decode("utf-8-sig") if isinstance(text, bytes) else text
            fields = json.loads(data, parse_constant=_no_number)
        except (ValueError, RecursionError) as problem:
            raise DocumentError(f"The {self.name}", f"it is no JSON ({problem})") from problem
        if not isinstance(fields, dict):
            raise DocumentError(f"The {self.name}", "it is a list or a single value")
        return fields


PRODUCT = Kind("product", Product, product_forms.STEPS)
PLAN = Kind("plan of product", Plan, plan_forms.STEPS)
CURVE = Kind("curve of product", StoredCurve, curve_forms.STEPS)
CONFIRMATION = Kind("second opinion", Confirmation)
HAND_WORK = Kind("work by hand on a plan of product", HandWork)


def product_checksum(product: Product) -> str:
    """Return the SHA-256 of a product's canonical JSON, in hexadecimal."""
    return text_checksum(PRODUCT.to_json(product))


def text_checksum(text: str) -> str:
    """Return the SHA-256 of canonical JSON, in hexadecimal."""
    return hashlib.sha256(text.encode("ascii")).hexdigest()


@cache
def _adapter(of: Any) -> "TypeAdapter[Any]":
    """Return what checks and converts one class; made once, because that is slow."""
    from pydantic import ConfigDict, TypeAdapter

    # A setting does not reach a bare data class, but it does reach one inside a tuple.
    config = ConfigDict(allow_inf_nan=False, ser_json_inf_nan="constants", extra="forbid")
    inside: Any = types.GenericAlias(tuple, (of,))
    return TypeAdapter(inside, config=config)


def _refuse(called: str, problem: "ValidationError") -> NoReturn:
    """Say which field of a document cannot be read, and why; one that is unknown first."""
    found = sorted(problem.errors(), key=lambda each: each["type"] != "unexpected_keyword_argument")
    first = found[0]
    field = ", ".join(str(s + 1) if isinstance(s, int) else s for s in first["loc"][1:])
    if first["type"] == "unexpected_keyword_argument":
        raise DocumentError(called, f'its field "{field}" is not known here') from problem
    where = f'its field "{field}": ' if field else ""
    raise DocumentError(called, f"{where}{first['msg']}") from problem


def _plain_number(text: str) -> float:
    """Return a number without the sign of a negative zero, which equals zero."""
    return float(text) + 0.0


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number")
