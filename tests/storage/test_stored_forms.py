"""What was ever stored is read for ever: an example of each form, frozen when it was written."""

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import MISSING, dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from rich_examples import EXAMPLES, PRODUCTS, PUMP

from stationflow.errors import DocumentError
from stationflow.files import codec
from stationflow.files.codec import PRODUCT, Kind
from stationflow.model import Author, Product
from stationflow.storage import open_store

FORMS = Path(__file__).parent / "forms"
KINDS = [kind for kind in vars(codec).values() if isinstance(kind, Kind)]


@pytest.fixture
def old_file(tmp_path):
    """Return a store file as it was before documents had forms.

    It holds the product R-1 (five saves, one undone and redone), three plans, a curve of its
    main line and remembered columns; and the archived product Z-0.
    """
    with sqlite3.connect(tmp_path / "store.db") as file:
        file.executescript((FORMS / "store_1.sql").read_text("utf-8"))
    file.close()
    return tmp_path / "store.db"


@pytest.fixture
def old(old_file):
    store = open_store(f"sqlite:///{old_file}")
    yield store
    store.close()


def frozen(name: str) -> str:
    return (FORMS / f"{name}.json").read_text("utf-8").strip()


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_frozen_example_is_read_as_it_was_meant(name):
    kind, meant = EXAMPLES[name]
    assert kind.from_json(frozen(name)) == meant


def test_every_frozen_example_is_read_by_a_test():
    assert {path.stem for path in FORMS.glob("*.json")} == EXAMPLES.keys()


def test_every_form_of_every_kind_of_document_has_a_frozen_example():
    forms = {(k.name, json.loads(frozen(name)).get("form", 1)) for name, (k, _) in EXAMPLES.items()}
    assert forms == {(kind.name, 1 + steps) for kind in KINDS for steps in range(kind.form)}


def stored_fields(of: Any) -> Iterator[str]:
    """Yield the fields of all data classes that a value of this type may hold."""
    if is_dataclass(of):
        for name, held in get_type_hints(of).items():
            yield f"{of.__name__}.{name}"
            yield from stored_fields(held)
    for inner in get_args(of):
        yield from stored_fields(inner)


def filled_fields(thing: Any) -> Iterator[str]:
    """Yield the fields that do not have their usual value, in all that a thing holds."""
    if isinstance(thing, tuple):
        for each in thing:
            yield from filled_fields(each)
    elif is_dataclass(thing):
        for field in fields(thing):
            usual = field.default if field.default_factory is MISSING else field.default_factory()
            if (value := getattr(thing, field.name)) != usual:
                yield f"{type(thing).__name__}.{field.name}"
                yield from filled_fields(value)


def test_every_field_that_is_stored_is_filled_in_a_frozen_example():
    # A field that is named here came new: freeze an example that fills it. If it was renamed or
    # moved, the documents that are stored already need a step.
    read = [kind.from_json(frozen(name)) for name, (kind, _) in EXAMPLES.items()]
    filled = set(filled_fields(tuple(read)))
    stored = dict.fromkeys(field for kind in KINDS for field in stored_fields(kind.of))
    assert [field for field in stored if field not in filled] == []


@pytest.mark.parametrize("name", [n for n in PRODUCTS if n.startswith("product_2")])
def test_the_text_of_a_product_is_that_of_its_form(name):
    # When this fails, equal products get other checksums: make a new form and a step to it.
    assert PRODUCT.to_json(PRODUCTS[name]) == frozen(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductToCome(Product):
    """The product of a later release, with a field more."""

    colour: str = ""


TO_COME = Kind("product", ProductToCome, PRODUCT.steps)


def test_a_field_to_come_changes_no_text():
    later = TO_COME.from_json(PRODUCT.to_json(PUMP))
    assert TO_COME.to_json(later) == PRODUCT.to_json(PUMP)


def test_a_field_to_come_that_is_filled_is_refused_by_this_release():
    text = TO_COME.to_json(ProductToCome(code="P-1", colour="red"))
    with pytest.raises(DocumentError, match=r'P-1 cannot be read: its field "colour" is not known'):
        PRODUCT.from_json(text)


def test_a_renamed_field_is_carried_by_a_step():
    def title_to_name(fields: dict) -> dict:
        return {{"title": "name"}.get(name, name): value for name, value in fields.items()}

    renamed = Kind("product", Product, (*PRODUCT.steps, title_to_name))
    assert renamed.from_json('{"code":"P-1","form":2,"title":"Pump"}').name == "Pump"
    with pytest.raises(DocumentError, match='"title" is not known'):
        PRODUCT.from_json('{"code":"P-1","form":2,"title":"Pump"}')


def test_names_and_opinions_of_old_plans_stand_beside_them(old):
    said = [(p.name, p.remark, p.archived, p.in_force) for p in old.plans("R-1")]
    assert said == [
        ("2 stations, shortest cycle, exact", "", False, True),
        ("1 station, limit 0.750 min, largest candidate rule", "", True, False),
        ("Summer line", "For the new jig.", False, True),
    ]
    assert [p.confirmation and p.confirmation.said for p in old.plans("R-1")] == [
        "It agrees.",
        None,
        None,
    ]


def test_documents_of_old_plans_hold_no_notes_any_more(old, old_file):
    with sqlite3.connect(old_file) as file:
        documents = " ".join(row[0] for row in file.execute("SELECT document FROM plans"))
    assert [
        word for word in ("Summer", "largest candidate rule", "agrees") if word in documents
    ] == []


def test_old_saves_keep_their_checksums(old):
    # As sha256 of the stored text, read from the file when it was frozen.
    assert old.draft("R-1").checksum == (
        "af053a4e3a8a0ae98e401b821c1e3e4d09a20308be3f085c3d5369a01f0f0bf5"
    )


def test_opening_an_old_product_and_saving_it_unedited_makes_no_version(old):
    draft = old.draft("R-1")
    saved = old.save(draft.product, base=draft.checksum, by=Author("ben", draft.at))
    assert (saved.version, saved.checksum) == (draft.version, draft.checksum)


def test_of_two_old_plans_in_force_the_newer_stays(old_file):
    with sqlite3.connect(old_file) as file:
        file.execute("UPDATE plans SET in_force = 1")
    file.close()
    store = open_store(f"sqlite:///{old_file}")
    in_force = [(p.line, p.plan_id) for p in store.plans("R-1") if p.in_force]
    store.close()
    assert in_force == [("motor", 3), ("main", 2)]


def test_old_plans_are_numbered_for_each_line_as_they_were_stored(old):
    # By hand from the old file: plans 1 and 2 are of the main line, 3 is of the motor's.
    said = [(p.plan_id, p.line, p.number) for p in old.plans("R-1")]
    assert said == [(3, "motor", 1), (2, "main", 2), (1, "main", 1)]


def test_an_old_curve_is_read(old):
    kept = old.last_curve("R-1", "main")
    assert [(p.stations, p.cycle) for p in kept.curve.points] == [(1, 42.6), (2, 30.1), (3, 30.0)]


def test_remembered_columns_of_an_old_store_are_read(old):
    assert old.remembered_columns("s1").file_name == "tasks.xlsx"
