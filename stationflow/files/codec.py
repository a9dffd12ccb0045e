"""Products and plans as JSON: the one form that is stored and compared by checksum.

The text is canonical: keys sorted, no blanks, every field written, `5` and `5.0`
alike. Equal objects give equal text, whatever the order of their making.
"""

import hashlib
import json
import types
from functools import cache
from typing import TYPE_CHECKING, Any

from stationflow.files.forms.plan_forms import result_in_parts
from stationflow.model import Plan, Product, StoredCurve
from stationflow.units import milliseconds

if TYPE_CHECKING:
    from pydantic import TypeAdapter


def product_to_json(product: Product) -> str:
    """Return a product as canonical JSON.

    Raises
    ------
    ValueError
        If a number is infinite or not a number, or a text cannot be written in UTF-8.
    """
    return _to_json(Product, product)


def product_from_json(text: str | bytes) -> Product:
    """Return the product that `product_to_json` wrote; fields left out take their defaults.

    Raises
    ------
    ValueError
        If the text is no JSON, or not that of a product.
    """
    data = _one(text)
    if b'_s":' in data:  # times were kept in seconds before
        data = json.dumps(json.loads(data, object_hook=_in_ms)).encode()
    product: Product = _adapter(Product).validate_json(data)[0]
    return product


def product_checksum(product: Product) -> str:
    """Return the SHA-256 of a product's canonical JSON, in hexadecimal.

    Raises
    ------
    ValueError
        If a number is infinite or not a number, or a text cannot be written in UTF-8.
    """
    return text_checksum(product_to_json(product))


def text_checksum(text: str) -> str:
    """Return the SHA-256 of canonical JSON, in hexadecimal."""
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def plan_to_json(plan: Plan) -> str:
    """Return a plan as canonical JSON.

    Raises
    ------
    ValueError
        If a number is infinite or not a number, or a text cannot be written in UTF-8.
    """
    return _to_json(Plan, plan)


def plan_from_json(text: str | bytes) -> Plan:
    """Return the plan that `plan_to_json` wrote.

    Raises
    ------
    ValueError
        If the text is no JSON, or not that of a plan.
    """
    data = _one(text)
    if b'"settings":' in data:  # what was asked stood beside the result before
        data = json.dumps([result_in_parts(json.loads(data)[0])]).encode()
    plan: Plan = _adapter(Plan).validate_json(data)[0]
    return plan


def curve_to_json(curve: StoredCurve) -> str:
    """Return a stored curve as canonical JSON.

    Raises
    ------
    ValueError
        If a number is infinite or not a number, or a text cannot be written in UTF-8.
    """
    return _to_json(StoredCurve, curve)


def curve_from_json(text: str | bytes) -> StoredCurve:
    """Return the curve that `curve_to_json` wrote.

    Raises
    ------
    ValueError
        If the text is no JSON, or not that of a curve.
    """
    curve: StoredCurve = _adapter(StoredCurve).validate_json(_one(text))[0]
    return curve


TIMES = ("time", "time_sd", "shortest", "longest", "repositioning", "process", "repair")
MS_OF = {f"{name}_s": f"{name}_ms" for name in TIMES}


def _in_ms(record: dict[str, Any]) -> dict[str, Any]:
    """Return a record with the times that it has in seconds in whole milliseconds."""
    return {
        MS_OF.get(name, name): milliseconds(value) if name in MS_OF and value is not None else value
        for name, value in record.items()
    }


@cache
def _adapter(kind: type) -> "TypeAdapter[Any]":
    """Return what checks and converts one class; made once, because that is slow."""
    from pydantic import ConfigDict, TypeAdapter

    # A setting does not reach a bare data class, but it does reach one inside a tuple.
    config = ConfigDict(allow_inf_nan=False, ser_json_inf_nan="constants")
    inside: Any = types.GenericAlias(tuple, (kind,))
    return TypeAdapter(inside, config=config)


def _one(text: str | bytes) -> bytes:
    """Return JSON of the tuple of one that the adapters read."""
    data = text.encode("utf-8") if isinstance(text, str) else text
    return b"[" + data.removeprefix(b"\xef\xbb\xbf") + b"]"


def _to_json(kind: type, thing: Product | Plan | StoredCurve) -> str:
    """Return the canonical JSON of one object."""
    written = _adapter(kind).dump_json((thing,), ensure_ascii=True)
    fields = json.loads(written, parse_float=_plain_number)[0]
    return json.dumps(
        fields, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False
    )


def _plain_number(text: str) -> float:
    """Return a number without the sign of a negative zero, which equals zero."""
    return float(text) + 0.0
