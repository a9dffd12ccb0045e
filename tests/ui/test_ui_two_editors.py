"""Two people edit one product: what one side changed is merged, what both changed is asked."""

from dataclasses import replace

import pytest
from small_products import LAMP, MORNING

from stationflow.model import Author, Product, Task
from stationflow.ui import session

MAIN = "tasks.L-100.main"


@pytest.fixture(autouse=True)
def _is_ana(monkeypatch):
    monkeypatch.setattr(session, "user", lambda: "ana")


@pytest.fixture
def tasks(show):
    return show(LAMP, "tasks")


def changed(product: Product, number: str, **new) -> Product:
    tasks = tuple(replace(t, **new) if t.number == number else t for t in product.tasks)
    return replace(product, tasks=tasks)


def save_as_ben(store, change) -> None:
    """Save as somebody else, without the page."""
    draft = store.draft("L-100")
    store.save(change(draft.product), base=draft.checksum, by=Author("ben", MORNING))


def task(store, number: str) -> Task | None:
    return next((t for t in store.draft("L-100").product.tasks if t.number == number), None)


def waiting(app):
    return app.test.session_state["edit.notes"].clashes.get("L-100", {})


def test_two_cells_of_one_task_are_both_kept(store, tasks):
    save_as_ben(store, lambda p: changed(p, "20", name="Glue on foot"))
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    assert (task(store, "20").name, task(store, "20").time_ms) == ("Glue on foot", 28_000)


def test_what_was_saved_elsewhere_is_shown_at_the_next_quiet_run(store, tasks):
    save_as_ben(store, lambda p: changed(p, "20", name="Glue on foot"))
    tasks.run()
    frame = tasks.test.session_state[f"{MAIN}.state"].frame
    assert frame["Task"][1] == "Glue on foot"


@pytest.fixture
def clash(store, tasks):
    """Ben saves 31 s while ana's table shows 25 s; she types 28."""
    tasks.test.session_state[f"{MAIN}.state"].was_busy = True
    save_as_ben(store, lambda p: changed(p, "20", time_ms=31_000))
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    return tasks


def test_a_cell_both_changed_keeps_the_stored_value(store, clash):
    assert task(store, "20").time_ms == 31_000


def test_a_cell_both_changed_is_told(clash):
    (path,) = waiting(clash)
    conflict = waiting(clash)[path].conflict
    assert (conflict.theirs, conflict.mine, waiting(clash)[path].by) == (31_000, 28_000, "ben")


def test_a_clash_waits_while_the_page_is_left(clash):
    clash.go("products")
    clash.go("tasks")
    assert "Decide 1 conflict" in clash.said


def test_a_clash_shows_both_values(clash):
    clash.press("edit.decide")
    assert "31 s" in clash.said
    assert "28 s" in clash.said


def test_my_value_can_be_taken(store, clash):
    clash.press("edit.decide")
    clash.press_first("edit.mine.")
    assert task(store, "20").time_ms == 28_000


def test_their_value_can_be_kept(store, clash):
    clash.press("edit.decide")
    clash.press_first("edit.theirs.")
    assert (task(store, "20").time_ms, waiting(clash)) == (31_000, {})


def test_the_value_that_was_taken_can_be_undone(store, clash):
    clash.press("edit.decide")
    clash.press_first("edit.mine.")
    clash.press("edit.undo")
    assert task(store, "20").time_ms == 31_000


def test_a_row_deleted_elsewhere_and_edited_here_can_be_brought_back(store, tasks):
    save_as_ben(store, lambda p: replace(p, tasks=p.tasks[:1] + p.tasks[2:]))
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    tasks.press("edit.decide")
    tasks.press_first("edit.mine.")
    assert task(store, "20").time_ms == 28_000


def test_a_row_deleted_elsewhere_stays_deleted_until_decided(store, tasks):
    save_as_ben(store, lambda p: replace(p, tasks=p.tasks[:1] + p.tasks[2:]))
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    assert task(store, "20") is None


def test_a_row_edited_elsewhere_is_not_taken_out_unasked(store, tasks):
    save_as_ben(store, lambda p: changed(p, "20", time_ms=31_000))
    tasks.edit(MAIN, deleted_rows=[1])
    assert (task(store, "20").time_ms, len(waiting(tasks))) == (31_000, 1)


def test_a_row_added_elsewhere_is_kept_beside_an_edit(store, tasks):
    save_as_ben(store, lambda p: replace(p, tasks=(*p.tasks, Task(number="60", name="Pack"))))
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    assert (task(store, "60").name, task(store, "20").time_ms) == ("Pack", 28_000)


def test_two_new_rows_without_a_number_are_both_kept(store, tasks):
    save_as_ben(store, lambda p: replace(p, tasks=(*p.tasks, Task(number="60", name="Pack"))))
    tasks.edit(MAIN, added_rows=[{"Task": "Label"}])
    assert (task(store, "60").name, task(store, "70").name) == ("Pack", "Label")


def test_a_demand_stored_elsewhere_is_not_overwritten_by_another_field(store, show):
    pace = show(LAMP, "pace")
    save_as_ben(store, lambda p: replace(p, demand=replace(p.demand, quantity=500.0)))
    pace.test.text_input(key="pace.yield_share.L-100").set_value("0.9")
    pace.run()
    demand = store.draft("L-100").product.demand
    assert (demand.quantity, demand.yield_share) == (500.0, 0.9)


def test_a_demand_both_changed_is_a_clash(store, show):
    pace = show(LAMP, "pace")
    save_as_ben(store, lambda p: replace(p, demand=replace(p.demand, quantity=500.0)))
    pace.test.text_input(key="pace.quantity.L-100").set_value("600.0")
    pace.run()
    assert [c.conflict.mine for c in waiting(pace).values()] == [600.0]


def test_after_a_demand_is_stored_the_form_shows_what_is_stored(store, show):
    pace = show(LAMP, "pace")
    save_as_ben(store, lambda p: replace(p, demand=replace(p.demand, quantity=500.0)))
    pace.test.text_input(key="pace.yield_share.L-100").set_value("0.9")
    pace.run()
    assert [n.value for n in pace.test.text_input if n.label == "Good units wanted"] == ["500"]


def test_undo_of_a_demand_is_shown_in_the_form(store, show):
    pace = show(LAMP, "pace")
    pace.test.text_input(key="pace.quantity.L-100").set_value("600.0")
    pace.run()
    pace.press("edit.undo")
    assert [n.value for n in pace.test.text_input if n.label == "Good units wanted"] == ["480"]


def test_a_header_stored_elsewhere_is_not_overwritten_by_another_field(store, show):
    products = show(LAMP, "products")
    save_as_ben(store, lambda p: replace(p, name="Desk lamp"))
    products.test.text_input(key="products.header_author.L-100").set_value("cleo")
    products.press("products.store_header")
    product = store.draft("L-100").product
    assert (product.name, product.author) == ("Desk lamp", "cleo")


def test_the_undo_button_says_what_is_undone(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    tasks.run()
    said = tasks.test.button(key="edit.undo").help.replace("\\", "")
    assert said == "Task 20, time: 28 s → 25 s (Ctrl+Z)"
