"""The first exact balance does not wait: the search is made ready beside the app from its start."""

import subprocess
import sys
import threading

import pytest
from small_products import LAMP, put_in

from stationflow.actions.plans.rule_plan import best_rule_plan
from stationflow.balancing.exact import one_at_a_time, preparation
from stationflow.model import BalanceSettings
from stationflow.ui.jobs import job_views, made_ready
from stationflow.ui.jobs.job_process import Job

WAITS = (sys.executable, "-c", "import sys; sys.stdin.read()")
"""A child that, like the one that compiles, goes on until its standard input is closed."""
MEANWHILE = "Meanwhile: the best plan of the rules"


@pytest.fixture
def child():
    made = made_ready.MakingReady("search", WAITS)
    yield made
    made.process.kill()
    made.process.wait()
    made.process.stdin.close()


def test_the_search_is_not_ready_while_the_child_is_at_work(child):
    assert not child.is_done


def test_the_search_is_ready_when_the_child_has_done_its_work(child):
    child.process.stdin.close()
    child.process.wait()
    assert child.is_done


def test_a_child_that_failed_made_nothing_ready():
    made = made_ready.MakingReady("search", (sys.executable, "-c", "raise SystemExit(3)"))
    made.process.wait()
    made.process.stdin.close()
    assert not made.is_done


def test_the_child_ends_with_the_app_whatever_it_is_doing():
    held = (
        "from stationflow.balancing.methods import exact; import threading; "
        "from stationflow.cli import making_ready; "
        "exact.prepare_exact = lambda _: (print('begun', flush=True), threading.Event().wait()); "
        "making_ready.main()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", held, "search"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=made_ready.ROOT,
    )
    assert process.stdout.readline() == b"begun\n"
    process.communicate()  # closes standard input, as the end of the app does, and waits
    assert process.returncode == 1


def test_the_app_begins_with_it_at_its_start(show, monkeypatch):
    begun = []
    monkeypatch.setattr(made_ready, "begin", begun.append)
    show(None, "products")
    assert set(begun) == {"search"}


def test_the_simulation_is_made_ready_from_the_line_page_on(show, monkeypatch):
    begun = []
    monkeypatch.setattr(made_ready, "begin", begun.append)
    show(LAMP, "line")
    assert set(begun) == {"search", "simulation"}


def test_one_child_is_enough_for_an_app(monkeypatch):
    monkeypatch.setattr(made_ready, "MakingReady", lambda part: object())
    made_ready.begin.clear()
    first, second = made_ready.begin("search"), made_ready.begin("search")
    made_ready.begin.clear()
    assert first is second


def test_two_processes_never_compile_at_once(monkeypatch, own_lock):
    waiting, done = threading.Event(), []
    monkeypatch.setattr(preparation, "_search_once", lambda: done.append("compiled"))
    with one_at_a_time.alone("search", lambda: None):  # as another process would hold it
        second = threading.Thread(target=preparation.prepare, args=(waiting.set,))
        second.start()
        waiting.wait()
        meanwhile = list(done)
    second.join()
    assert (meanwhile, done) == ([], ["compiled"])


def test_what_is_compiled_is_loaded_without_waiting_for_who_holds_the_lock(monkeypatch, own_lock):
    done: list[str] = []

    def once() -> None:
        done.append("loaded")

    monkeypatch.setattr(preparation, "_search_once", once)
    preparation.prepare(lambda: None)
    with one_at_a_time.alone("search", lambda: None):  # as one that steps back behind all else
        preparation.prepare(lambda: done.append("waited"))
    assert done == ["loaded", "loaded"]


def test_a_change_of_the_code_has_it_compiled_alone_again(monkeypatch, own_lock):
    one_at_a_time.note_made("search")
    assert one_at_a_time.is_made("search")
    monkeypatch.setattr(one_at_a_time, "_code", lambda: "another")
    assert not one_at_a_time.is_made("search")


def test_without_a_lock_the_search_is_made_ready_all_the_same(monkeypatch, tmp_path):
    monkeypatch.setattr(
        one_at_a_time, "_lock_file", lambda what: tmp_path / "missing" / "search.lock"
    )
    done = []
    monkeypatch.setattr(preparation, "_search_once", lambda: done.append("compiled"))
    preparation.prepare(lambda: None)
    assert done == ["compiled"]


@pytest.mark.parametrize(
    ("asked", "stations"),
    # 150 s of work: three stations at 60 s; two stations for the shortest cycle, 75 s at best.
    [({"limit": 60.0}, 3), ({"stations": 2}, 2), ({"stations_from": 2, "stations": 2}, 2)],
)
def test_the_best_plan_of_the_rules_is_for_what_is_asked(store, asked, stations):
    draft = put_in(store, LAMP)
    plan = best_rule_plan(draft, "main", BalanceSettings(method="exact", **asked))
    assert (len(plan.result.stations), plan.plan_id) == (stations, 0)


def test_what_no_rule_can_do_has_no_plan_meanwhile(store):
    draft = put_in(store, LAMP)
    asked = BalanceSettings(method="exact", limit=1.0)
    assert best_rule_plan(draft, "main", asked) is None


@pytest.fixture
def held(show, monkeypatch):
    """Press for an exact balance whose job is held, on a machine where the search is not ready."""
    monkeypatch.setattr(made_ready, "is_ready", lambda part: False)
    begun = []
    with monkeypatch.context() as patch:
        patch.setattr(Job, "start", lambda job, when_over: begun.append((job, when_over)))
        page = show(LAMP, "balance")
        page.by_exact()
        page.press("balance.run")
    ((job, when_over),) = begun
    yield page, job, when_over
    if job.is_active:
        job.stop()


def test_the_best_plan_of_the_rules_stands_while_the_search_is_made_ready(held):
    page, _, _ = held
    assert MEANWHILE in page.said


def test_the_plan_that_stands_meanwhile_is_not_stored(held, store):
    assert store.plans("L-100") == []


def test_the_exact_plan_takes_the_place_of_the_one_that_stood_meanwhile(held, store):
    page, job, when_over = held
    job.start(when_over)
    job.wait(120)
    page.run()
    assert (MEANWHILE in page.said, [p.result.method for p in store.plans("L-100")]) == (
        False,
        ["exact"],
    )


def test_where_the_search_is_ready_nothing_stands_meanwhile(show, monkeypatch):
    monkeypatch.setattr(Job, "start", lambda *_: None)
    page = show(LAMP, "balance")
    page.by_exact()
    page.press("balance.run")
    said = page.said
    for job in job_views.registry().active():
        job.stop()
    assert MEANWHILE not in said
