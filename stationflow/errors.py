"""The errors Stationflow raises when it cannot go on.

::

    StationflowError
    ├── SourceError                a file or folder that cannot be read at all
    │   ├── NoSourceError          neither a path nor a product code in the store
    │   └── NoLimitError           an instance without a cycle time, and none asked for
    ├── DocumentError              a stored product, plan or curve that cannot be read
    ├── DrawingError               a picture that could not be drawn
    ├── CardError                  cards that could not be set
    ├── ClusterError               a cluster that does not answer, or cannot do the work
    └── StoreError
        ├── ProductNotFoundError   no product of that code in the store
        ├── ProductExistsError     the code is taken already
        ├── UnreadableError        something kept of a product that cannot be read
        ├── PlanNotFoundError      no plan of that number of the product
        ├── RightMissingError      the author may not do this
        └── DraftChangedError      somebody else saved since the page was read

What is wrong *in the engineer's data* is never an exception: it is a
`stationflow.model.Finding`. Every error carries the facts it speaks of as
attributes and builds its own sentence from them.
"""

LONGEST_NAMED = 60
"""Characters of a code that a sentence shows."""


class StationflowError(Exception):
    """Base of all errors meant for the person at the screen."""

    def __init__(self, message: str, hint: str = "") -> None:
        self.message = message
        self.hint = hint
        super().__init__(f"{message} {hint}".strip())


def named(code: str) -> str:
    """Return a code or name a person typed as it stands in a sentence.

    >>> named("AP-200"), named("fan, small"), named(" ")
    ('AP-200', '"fan, small"', '(without a name)')
    """
    shown = "".join(c if c.isprintable() else " " for c in code[:LONGEST_NAMED]).strip()
    shown += "..." if len(code) > LONGEST_NAMED else ""
    if not shown:
        return "(without a name)"
    return shown if all(c.isalnum() or c in "-_." for c in shown) else f'"{shown}"'


class SourceError(StationflowError):
    """A product folder, workbook or instance that cannot be read at all."""

    def __init__(self, source: str, problem: str, hint: str = "") -> None:
        self.source = source
        self.problem = problem
        super().__init__(f"{source}: {problem}", hint)


class NoSourceError(SourceError):
    """A source that is neither a path nor a product code in the store."""

    def __init__(self, source: str) -> None:
        super().__init__(
            source,
            "it is no file or folder, and no product of this code is in the store.",
            "Check the spelling, or give a product folder, a workbook, an .alb or an .IN2 file.",
        )


class NoLimitError(SourceError):
    """An instance without a cycle time, and no limit asked for: wrong usage."""

    def __init__(self, name: str) -> None:
        super().__init__(
            name, "it has no cycle time of its own.", "Give --limit, --stations, or both."
        )


class DocumentError(StationflowError):
    """A stored document that cannot be read, or says more than this version knows."""

    def __init__(self, document: str, problem: str) -> None:
        self.document = document
        self.problem = problem
        super().__init__(
            f"{document} cannot be read: {problem}.",
            "If a newer Stationflow wrote it, open it with that one. Nothing of it was changed.",
        )


class DrawingError(StationflowError):
    """A diagram that the layout program did not draw."""


class CardError(StationflowError):
    """Station cards that could not be set."""


class ClusterError(StationflowError):
    """A cluster that does not answer, or cannot do the work."""

    def __init__(self, address: str, problem: str) -> None:
        self.address = address
        self.problem = problem
        super().__init__(
            f"The cluster at {named(address)} cannot simulate: {problem}.",
            "Give the address of a Dask scheduler that runs, as tcp://10.0.0.5:8786, and start "
            "workers with this version of Stationflow there; or simulate on this machine.",
        )


class StoreError(StationflowError):
    """Base of everything the store refuses."""


class ProductNotFoundError(StoreError):
    """The store holds no product of this code."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(
            f"There is no product {named(code)} in the store.",
            "Check the product code on the Products page, or give the path of a product folder.",
        )


class ProductExistsError(StoreError):
    """The product code is taken already."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(
            f"A product with the code {named(code)} is in the store already.",
            "Choose another product code.",
        )


class UnreadableError(StoreError):
    """Something kept of a product that is damaged, or says more than this version knows."""

    def __init__(self, what: str, problem: str) -> None:
        self.what = what
        self.problem = problem
        super().__init__(
            f"{what} cannot be read from the store: {problem}.",
            "Nothing was changed, and all else opens. Open it with a newer Stationflow if that "
            "saved it; else take it from a copy of the store.",
        )


class PlanNotFoundError(StoreError):
    """The product has no such plan."""

    def __init__(self, product: str, plan_id: int) -> None:
        self.product = product
        self.plan_id = plan_id
        super().__init__(
            f"Product {named(product)} does not have this plan.",
            "Reload the Balance page and choose one of the plans that are there.",
        )


class RightMissingError(StoreError):
    """Somebody may not do what was asked."""

    def __init__(self, name: str, right: str) -> None:
        self.name = name
        self.right = right
        super().__init__(
            f"{named(name)} may look at products and plans, but not change them.",
            f'Ask somebody who has the right to "{right}" to do it.',
        )


class DraftChangedError(StoreError):
    """Somebody else saved the product since it was read."""

    def __init__(self, code: str, by: str, version: int) -> None:
        self.code = code
        self.by = by
        self.version = version
        super().__init__(
            f"Product {named(code)} was saved as version {version} by {by} "
            "since this page was read.",
            "Nothing was overwritten. Reload the page to see that version, then repeat the edit.",
        )
