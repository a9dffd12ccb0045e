"""A plan is moved by hand, and what comes of it is kept as any other plan."""

import json
from collections.abc import Sequence
from dataclasses import replace

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import PlanState, broken_rules, plan_state
from stationflow.actions.plans.hand_planning import (
    HandAsk,
    HandState,
    begin_by_hand,
    hand_state,
    keep_by_hand,
    settings_of_rest,
    take_asks,
)
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.balancing.balance import balance_product
from stationflow.errors import StoreError
from stationflow.files.plan_document import plan_document
from stationflow.model import BalanceSettings, Ending, HandAct, HandWork, Plan, Task
from stationflow.storage import Draft, Store

RULE = BalanceSettings(method="largest-candidate")
CODE, LINE = "L-100", "main"
# The lamp: 10 (30 s) before 20 (25 s), 30 (35 s), 40 (20 s), 50 (20 s), at 60 s: three stations.


class Hands:
    """Somebody who moves the plan of a line by hand."""

    def __init__(self, store: Store) -> None:
        self.store = store
        put_in(store, LAMP)
        self.plan: Plan = balance_and_keep(store, self.draft, LINE, RULE, **ANA)

    @property
    def draft(self) -> Draft:
        return self.store.draft(CODE)

    @property
    def state(self) -> PlanState:
        return plan_state(opened_draft(self.store, self.draft), self.plan)

    @property
    def now(self) -> HandState:
        done = self.store.hand_work(CODE, self.plan.plan_id)
        now = hand_state(opened_draft(self.store, self.draft), self.state, done)
        assert now is not None
        return now

    @property
    def stations(self) -> list[list[str]]:
        return [list(station.tasks) for station in self.now.board.plan.stations]

    def ask(self, act: str, **what: object) -> str:
        return self.ask_all((act, what))

    def ask_all(self, *asks: tuple[str, dict[str, object]], seen: Sequence[HandWork] = ()) -> str:
        """Ask several things, as a browser tells those that were asked in a hurry."""
        asked = [
            HandAsk(act=act if act in ("undo", "redo") else HandAct(act), **what)  # type: ignore[arg-type]
            for act, what in asks
        ]
        opened = opened_draft(self.store, self.draft)
        return take_asks(self.store, opened, self.state, asked, **ANA, seen=seen).said

    def keep(self) -> Plan:
        return keep_by_hand(self.store, self.draft, self.state, self.now, ANA["by"])


@pytest.fixture
def hands(store: Store) -> Hands:
    return Hands(store)


def last_alone(hands: Hands) -> str:
    """Bring the last task of the line to a station of its own at the end."""
    last = hands.stations[-1][-1]
    return hands.ask("move", task=last, station=len(hands.stations) + 1, is_new=True)


def test_a_step_is_kept_beside_the_plan_and_the_plan_stays(hands):
    before = hands.stations
    assert last_alone(hands) == ""
    assert [len(hands.stations), hands.now.steps] == [len(before) + 1, 1]
    assert len(hands.store.plans(CODE, LINE)[0].result.stations) == len(before)


def test_what_is_refused_is_said_and_changes_nothing(hands):
    before = hands.stations
    first = before[0][0]
    said = hands.ask("move", task=first, station=len(before))
    assert said.startswith(f"Task {first} comes before task ")
    assert (hands.stations, hands.now.steps) == (before, 0)


def test_what_is_asked_after_a_refused_step_is_not_done(hands):
    last_alone(hands)
    before, first = hands.stations, hands.stations[0][0]
    refused = ("move", {"task": first, "station": len(before)})
    said = hands.ask_all(("lock", {"station": 2}), refused, ("undo", {}), ("lock", {"station": 3}))
    assert said.startswith(f"Task {first} comes before task ")
    assert (hands.stations, hands.now.steps) == (before, 2)  # the step before, and the lock


def test_what_is_asked_on_a_board_that_was_moved_elsewhere_is_not_done(hands):
    seen = hands.now.done
    last_alone(hands)  # in another window
    before = hands.stations
    said = hands.ask_all(("undo", {}), seen=[seen])
    assert said.startswith("ana moved this plan elsewhere")
    assert hands.stations == before
    assert hands.ask_all(("undo", {}), seen=[seen, hands.now.done]) == ""


def test_steps_from_elsewhere_stay_on_the_board_when_a_plan_is_kept(hands):
    last_alone(hands)
    now = hands.now
    hands.ask("lock", station=1)  # in another window
    keep_by_hand(hands.store, hands.draft, hands.state, now, ANA["by"])
    assert hands.now.steps == 2


def test_undo_and_redo_go_step_by_step(hands):
    before = hands.stations
    last_alone(hands)
    after = hands.stations
    hands.ask("undo")
    assert hands.stations == before
    hands.ask("redo")
    assert hands.stations == after


def test_a_new_step_after_an_undo_takes_the_place_of_what_was_undone(hands):
    last_alone(hands)
    hands.ask("undo")
    hands.ask("lock", station=1)
    assert [step.act for step in hands.store.hand_work(CODE, hands.plan.plan_id).steps] == ["lock"]


def test_a_plan_by_hand_is_kept_named_and_verified_with_its_bound(hands):
    last_alone(hands)
    kept = hands.keep()
    assert kept.name == "4 stations, limit 60.0 s, by hand"
    assert (kept.result.method, kept.result.ending) == ("by-hand", Ending.FOUND)
    assert kept.result.proof.lower_bound == 3.0
    assert kept.remark == "Moved by hand from plan 1: 1 step."


def test_what_was_kept_waits_on_the_board_no_more(hands):
    last_alone(hands)
    hands.keep()
    assert hands.now.steps == 0


def test_where_the_steps_cannot_be_taken_off_the_board_no_plan_is_kept(hands):
    last_alone(hands)
    with hands.store.writing(ANA["by"]) as connection:
        connection.exec_driver_sql(
            "CREATE TRIGGER full BEFORE INSERT ON hand_work BEGIN SELECT RAISE(ABORT, 'full'); END"
        )
    with pytest.raises(StoreError, match="full"):
        hands.keep()
    assert hands.store.plans(CODE) == [hands.plan]


def test_an_empty_board_that_was_filled_is_archived_and_comes_back_when_it_is_begun_anew(hands):
    hands.plan = empty = begin_by_hand(hands.store, hands.draft, LINE, **ANA)
    for place, task in enumerate(("10", "20", "30", "40", "50")):
        assert hands.ask("move", task=task, station=1, place=place) == ""
    kept = hands.keep()
    archived = {plan.plan_id: plan.archived for plan in hands.store.plans(CODE)}
    assert (archived[empty.plan_id], archived[kept.plan_id]) == (True, False)
    assert begin_by_hand(hands.store, hands.draft, LINE, **ANA) == empty


def test_a_plan_by_hand_over_the_limit_is_kept_and_says_so(hands):
    hands.ask("move", task=hands.stations[1][0], station=1, place=len(hands.stations[0]))
    kept = hands.keep()
    (broken,) = broken_rules(plan_state(opened_draft(hands.store, hands.draft), kept))
    assert broken.code == "station-over-limit"


def test_a_plan_by_hand_is_put_in_force(hands):
    last_alone(hands)
    kept = hands.keep()
    hands.store.put_in_force(CODE, kept.plan_id, **ANA)
    assert hands.store.plan_in_force(CODE, LINE).result.method == "by-hand"


def test_the_document_of_a_plan_by_hand_is_read_as_any_other(hands, tmp_path):
    last_alone(hands)
    kept = hands.keep()
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(plan_document(CODE, kept.result)))
    chosen = choose_plan(opened_draft(hands.store, hands.draft), None, path)
    assert chosen.plan.result.method == "by-hand"
    assert chosen.plan.result.stations == kept.result.stations


def test_a_method_does_the_rest_around_what_is_pinned(hands):
    last = hands.stations[-1][-1]
    last_alone(hands)  # now alone at station 4
    hands.ask("pin", task=last)
    settings = settings_of_rest(hands.now, "largest-candidate", seconds=1)
    result = balance_product(hands.draft.product, LINE, settings)
    assert last in result.stations[3].tasks
    assert result.asked.pins.tasks == ((last, 4),)


def test_pins_stay_with_the_plan_that_was_made_around_them(hands):
    hands.ask("lock", station=1)
    settings = settings_of_rest(hands.now, "largest-candidate", seconds=1)
    made = balance_and_keep(hands.store, hands.draft, LINE, settings, **ANA)
    hands.plan = made
    assert hands.now.board.plan.locked == {1}


def test_a_plan_with_a_task_at_no_station_is_not_kept(hands):
    product = hands.draft.product
    more = replace(product, tasks=(*product.tasks, Task(number="99", time_ms=1000)))
    hands.store.save(more, base=hands.draft.checksum, **ANA)
    assert hands.now.board.plan.loose == ("99",)
    with pytest.raises(StoreError, match="Task 99 is at no station yet"):
        hands.keep()


def test_a_task_that_is_new_on_the_line_is_brought_to_a_station(hands):
    product = hands.draft.product
    more = replace(product, tasks=(*product.tasks, Task(number="99", time_ms=1000)))
    hands.store.save(more, base=hands.draft.checksum, **ANA)
    assert hands.ask("move", task="99", station=1, place=0) == ""
    assert hands.stations[0][0] == "99"


def test_steps_on_tasks_that_are_gone_do_nothing(hands):
    last = hands.stations[-1][-1]
    last_alone(hands)
    product = hands.draft.product
    fewer = replace(product, tasks=tuple(t for t in product.tasks if t.number != last))
    hands.store.save(fewer, base=hands.draft.checksum, **ANA)
    assert last not in [task for station in hands.stations for task in station]
