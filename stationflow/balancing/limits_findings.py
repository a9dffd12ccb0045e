"""Findings about the limits of a line: not kept, broken, impossible together."""

from collections.abc import Sequence

from stationflow.balancing.limits.entered import EnteredLimits, entered_limits
from stationflow.balancing.limits.forms import ALL_FORMS, Form
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.limits.not_kept import not_kept_by_any, not_kept_by_method
from stationflow.balancing.methods import METHODS
from stationflow.balancing.verify import LIMIT_CODES
from stationflow.model import Finding, Product, warning

SHOWN = 5
"""How many broken limits a warning tells before it says how many more there are."""


def forms_kept(method: str) -> frozenset[Form]:
    """Return the forms that a method keeps; a plan by hand is judged by all of them."""
    return METHODS[method].keeps if method in METHODS else ALL_FORMS


def are_all_kept(entered: EnteredLimits, keeps: frozenset[Form]) -> bool:
    """Return whether a method keeps all that is entered."""
    return not not_kept_by_any(entered) and all(kind.kept_by(entered, keeps) for kind in LIMITS)


def limits_not_kept(product: Product, line: str, method: str = "") -> Finding | None:
    """Return one warning that names all that is entered and not kept; None: nothing is."""
    here = product.line(line)
    if here is None:
        return None
    entered = entered_limits(product, here)
    told = (
        ("any method yet", not_kept_by_any(entered)),
        (f"the method {method}", not_kept_by_method(entered, forms_kept(method))),
    )
    clauses = [f"not kept by {by}: {'; '.join(named)}" for by, named in told if named]
    if not clauses:
        return None
    message = f"Entered, but {'; and '.join(clauses)}."
    return warning("limits-not-kept", f"Line {here.name}", message)


def limits_broken(line: str, broken: Sequence[Finding]) -> Finding | None:
    """Return one warning for all the limits that a plan breaks; None: it breaks none."""
    limits = [finding for finding in broken if finding.code in LIMIT_CODES]
    if not limits:
        return None
    said = " ".join(f"{finding.where}: {finding.message}" for finding in limits[:SHOWN])
    more = f" And {len(limits) - SHOWN} more." if len(limits) > SHOWN else ""
    return warning("limits-broken", f"Line {line}", f"The plan breaks limits. {said}{more}")
