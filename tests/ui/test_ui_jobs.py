"""Long balances belong to the server: queued, watched, stopped, told when they die."""

import os
import signal
import time
from collections.abc import Iterator

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, put_in

from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.model import BalanceSettings, CurveSettings, Product, Task
from stationflow.storage import open_store
from stationflow.ui.jobs import job_process
from stationflow.ui.jobs.job_process import Job, JobState
from stationflow.ui.jobs.job_views import ALL_LINES, progress_words
from stationflow.ui.jobs.long_runs import JobRegistry
from stationflow.units import TimeUnit

ENDLESS = BalanceSettings(method="comsoal", limit=97, seconds=60, trials=100_000_000)
LONG = Product(
    code="L-700",
    tasks=tuple(
        Task(number=str(10 * i), time_ms=1000 * (31 + i * 7 % 23 + i * i % 11))
        for i in range(1, 61)
    ),
)
"""Sixty tasks in any order; one hundred million trials never end in the time of a test."""

PATIENCE_S = 240
"""Never reached where a job ends: it steps back behind all else on a busy machine."""


class Server:
    """A registry with a store, and what it was asked for."""

    def __init__(self, path: str) -> None:
        self.address = f"sqlite:///{path}"
        self.store = open_store(self.address)
        self.jobs = JobRegistry(most=1)

    def add(self, product: Product, line: str, *settings: BalanceSettings):
        draft = (
            self.store.draft(product.code)
            if any(row.code == product.code for row in self.store.products())
            else put_in(self.store, product)
        )
        return self.jobs.add(self.address, draft, line, *settings, **ANA)


@pytest.fixture
def server(tmp_path) -> Iterator[Server]:
    made = Server(f"{tmp_path}/jobs.db")
    yield made
    for job in made.jobs.active():
        made.jobs.stop(job)
    for job in made.jobs.known():
        job.wait(PATIENCE_S)
    made.store.close()


def until(condition, seconds: float = PATIENCE_S) -> bool:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not condition() and time.monotonic() < end:
        time.sleep(0.05)
    return condition()


def test_a_job_of_several_methods_keeps_a_plan_of_each(server):
    rules = [BalanceSettings(method=m) for m in ("largest-candidate", "most-followers")]
    job = server.add(LAMP, "main", *rules)
    assert job.wait(PATIENCE_S)
    assert [plan.asked.method for plan in job.plans] == ["largest-candidate", "most-followers"]


def test_a_stopped_job_keeps_its_best(server):
    job = server.add(LONG, "main", ENDLESS)
    assert until(lambda: job.stations is not None)
    server.jobs.stop(job)
    assert job.wait(PATIENCE_S)
    assert (len(server.store.plans("L-700")), job.message) == (1, "")


def test_a_stopped_job_leaves_out_the_methods_it_has_not_begun(server):
    job = server.add(LONG, "main", ENDLESS, BalanceSettings(method="most-followers", limit=97))
    assert until(lambda: job.stations is not None)
    server.jobs.stop(job)
    assert job.wait(PATIENCE_S)
    assert [plan.asked.method for plan in job.plans] == ["comsoal"]


def test_a_job_stopped_before_its_process_knows_what_to_do_ends_well(server, monkeypatch):
    serve = Job._serve

    def late(job, *given) -> None:
        job.stop()
        serve(job, *given)

    monkeypatch.setattr(Job, "_serve", late)
    job = server.add(LONG, "main", ENDLESS)
    assert job.wait(PATIENCE_S)
    assert (job.message, len(job.plans)) == ("", 1)


def test_a_job_waits_until_a_core_is_free(server):
    server.add(LONG, "main", ENDLESS)
    assert server.add(LAMP, "main", BalanceSettings(method="exact")).state == JobState.WAITING


def test_a_waiting_job_begins_when_the_one_before_it_ends(server):
    first = server.add(LONG, "main", ENDLESS)
    second = server.add(LAMP, "main", BalanceSettings(method="largest-candidate"))
    server.jobs.stop(first)
    assert second.wait(PATIENCE_S)
    assert len(second.plans) == 1


def test_a_waiting_job_can_be_taken_off_the_list(server):
    server.add(LONG, "main", ENDLESS)
    second = server.add(LAMP, "main", BalanceSettings(method="exact"))
    server.jobs.stop(second)
    assert (second.state, second.plans) == (JobState.ENDED, [])


def test_one_line_is_balanced_by_one_job_at_a_time(server):
    server.jobs.most = 4
    server.add(LONG, "main", ENDLESS)
    assert server.add(LONG, "main", ENDLESS).state == JobState.WAITING


def test_two_lines_are_balanced_at_once(server):
    server.jobs.most = 4
    states = [
        server.add(BOARD_LAMP, line, BalanceSettings(method="exact")).state
        for line in ("main", "board")
    ]
    assert states == [JobState.RUNNING, JobState.RUNNING]


def of_cores(cores: int) -> BalanceSettings:
    """Return settings that ask for so many cores."""
    return BalanceSettings(method="exact", cores=cores)


def test_a_job_of_two_cores_waits_while_one_of_two_is_taken(server):
    server.jobs.most = 2
    server.add(LONG, "main", ENDLESS)
    assert server.add(LAMP, "main", of_cores(2)).state == JobState.WAITING


def test_a_job_of_two_cores_runs_beside_another_where_there_are_three(server):
    server.jobs.most = 3
    server.add(LONG, "main", ENDLESS)
    assert server.add(LAMP, "main", of_cores(2)).state == JobState.RUNNING


def test_a_job_that_asks_for_more_cores_than_there_are_runs_alone(server):
    server.jobs.most = 2
    job = server.add(LAMP, "main", of_cores(8))
    assert job.wait(PATIENCE_S)
    assert len(job.plans) == 1


def test_no_later_job_overtakes_one_that_waits_for_cores(server):
    server.jobs.most = 2
    first = server.add(LONG, "main", ENDLESS)
    large = server.add(LAMP, "main", of_cores(2))
    small = server.add(BOARD_LAMP, "main", of_cores(1))
    assert (large.state, small.state) == (JobState.WAITING, JobState.WAITING)
    server.jobs.stop(first)
    assert large.wait(PATIENCE_S)
    assert small.wait(PATIENCE_S)


def test_a_process_that_dies_is_told_in_a_sentence(server):
    job = server.add(LONG, "main", ENDLESS)
    assert until(lambda: job.stations is not None)
    os.kill(job._process.pid, signal.SIGKILL)
    assert job.wait(PATIENCE_S)
    assert "ended by signal 9" in job.message


def test_a_frozen_process_is_ended_by_stop(server, monkeypatch):
    """A stopped process hears no word and keeps the signal to terminate for later."""
    monkeypatch.setattr(job_process, "GRACE_S", 0.2)
    monkeypatch.setattr(job_process, "LAST_GRACE_S", 0.2)
    job = server.add(LONG, "main", ENDLESS)
    assert until(lambda: job.stations is not None)
    os.kill(job._process.pid, signal.SIGSTOP)
    server.jobs.stop(job)
    assert job.wait(PATIENCE_S)
    assert (job._process.returncode, job.message) == (-signal.SIGKILL, job_process.FROZEN)


def test_a_job_that_ended_can_be_forgotten(server):
    job = server.add(LAMP, "main", BalanceSettings(method="largest-candidate"))
    assert job.wait(PATIENCE_S)
    server.jobs.forget(job)
    assert server.jobs.known() == []


def test_the_words_of_a_job_name_the_best_so_far(server):
    job = server.add(LONG, "main", ENDLESS)
    assert until(lambda: job.stations is not None)
    assert f"best so far {job.stations} stations" in progress_words(job, TimeUnit.SECOND)


def test_a_stopped_curve_keeps_what_is_known(server):
    draft = put_in(server.store, LONG)
    job = server.jobs.add(server.address, draft, "main", CurveSettings(seconds=None), **ANA)
    assert until(lambda: job.curve is not None)
    server.jobs.stop(job)
    assert job.wait(PATIENCE_S)
    kept = server.store.last_curve("L-700", "main")
    assert (kept.by, kept.curve.points[0].is_proven, job.message) == ("ana", True, "")


def test_a_curve_and_a_balance_of_one_line_take_turns(server):
    server.jobs.most = 4
    server.add(LONG, "main", ENDLESS)
    draft = server.store.draft("L-700")
    job = server.jobs.add(server.address, draft, "main", CurveSettings(seconds=5), **ANA)
    assert job.state == JobState.WAITING


def test_a_simulation_of_all_lines_comes_back_with_its_plans(server):
    draft = put_in(server.store, LAMP)
    asked = BalanceSettings(method="largest-candidate")
    plan = balance_and_keep(server.store, draft, "main", asked, **ANA)
    short = SimulationSettings(hours=1, replications=2)
    job = server.jobs.add(server.address, draft, ALL_LINES, short, **ANA)
    assert job.wait(300)
    assert (job.message, job.plan_ids, job.replications) == ("", (plan.plan_id,), (2, 2))
    assert job.simulated is not None
    assert job.simulated.settings == short


def test_a_simulation_says_how_many_runs_are_done(server):
    draft = put_in(server.store, LAMP)
    job = server.jobs.add(
        server.address, draft, ALL_LINES, SimulationSettings(replications=7), **ANA
    )
    job.state = JobState.RUNNING
    assert progress_words(job, TimeUnit.SECOND).startswith("Simulating all lines: 0 of 7 runs done")


def test_a_stopped_simulation_keeps_the_runs_that_are_done(server):
    draft = put_in(server.store, LAMP)
    asked = BalanceSettings(method="largest-candidate")
    balance_and_keep(server.store, draft, "main", asked, **ANA)
    endless = SimulationSettings(hours=200, replications=1000)
    job = server.jobs.add(server.address, draft, ALL_LINES, endless, **ANA)
    assert until(lambda: job.replications[0] >= 1, 240)
    server.jobs.stop(job)
    assert job.wait(60)
    assert job.message == ""
    assert job.simulated is not None
    assert 1 <= job.simulated.replications < 1000
