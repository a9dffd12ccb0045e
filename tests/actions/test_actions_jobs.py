"""Long runs in a process of their own."""

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from small_products import ANA, LAMP, TOO_LONG, put_in

from stationflow.actions.jobs.long_jobs import REQUEST, job_request
from stationflow.files.codec import PLAN, product_checksum
from stationflow.model import BalanceSettings, Plan, Product, Task
from stationflow.storage import open_store

ROOT = Path(__file__).parents[2]


LONG = Product(
    code="L-700",
    tasks=tuple(
        Task(number=str(10 * i), time_ms=1000 * (31 + i * 7 % 23 + i * i % 11))
        for i in range(1, 61)
    ),
)
"""Sixty tasks in any order, too many to prove a cycle best at once."""


@pytest.fixture
def address(tmp_path) -> str:
    return f"sqlite:///{tmp_path}/jobs.db"


@contextmanager
def job_process() -> Iterator[subprocess.Popen[str]]:
    """Start a job that waits for its request; it is gone at the end."""
    job = subprocess.Popen(
        [sys.executable, "-m", "stationflow.cli.job"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    try:
        yield job
    finally:
        job.kill()
        job.wait()
        for stream in (job.stdin, job.stdout):
            stream.close()


@pytest.fixture
def ask(address):
    """Return a function that puts a product in and gives the job its request."""
    store = open_store(address)
    with ExitStack() as jobs:

        def start(product: Product, settings: BalanceSettings) -> subprocess.Popen[str]:
            request = job_request(address, put_in(store, product), "main", settings, **ANA)
            job = jobs.enter_context(job_process())
            job.stdin.write(REQUEST.to_json(request) + "\n")
            job.stdin.flush()
            return job

        yield start
    store.close()


def events_of(job) -> list[dict]:
    """Read the events of a job until it ends, standard input left open."""
    return [json.loads(line) for line in job.stdout]


@pytest.fixture(scope="module")
def answered(tmp_path_factory) -> tuple[list[dict], list[Plan]]:
    """Return the events of one job on the lamp, and the plans in its store afterwards."""
    address = f"sqlite:///{tmp_path_factory.mktemp('job')}/jobs.db"
    store = open_store(address)
    settings = BalanceSettings(method="exact", seconds=20)
    request = job_request(address, put_in(store, LAMP), "main", settings, **ANA)
    with job_process() as job:
        job.stdin.write(REQUEST.to_json(request) + "\n")
        job.stdin.flush()
        events = events_of(job)
    return events, store.plans("L-100")


def test_a_job_ends_with_its_plan(answered):
    events, _ = answered
    plan = PLAN.from_json(events[-1]["plan"])
    assert (events[-1]["event"], len(plan.result.stations)) == ("done", 3)


def test_a_job_stores_its_plan(answered):
    events, stored = answered
    assert [plan.plan_id for plan in stored] == [PLAN.from_json(events[-1]["plan"]).plan_id]


def test_the_first_plan_of_a_job_is_put_in_force(answered):
    _, stored = answered
    assert [plan.in_force for plan in stored] == [True]


def test_a_job_tells_better_plans_on_the_way(answered):
    events, _ = answered
    assert "better" in [event["event"] for event in events]


def test_a_job_balances_the_version_that_was_asked_for(answered):
    _, stored = answered
    assert stored[0].product_checksum == product_checksum(LAMP)


def test_a_job_that_finds_no_plan_says_why(ask):
    events = events_of(ask(TOO_LONG, BalanceSettings(method="exact", seconds=20)))
    plan = PLAN.from_json(events[-1]["plan"])
    assert (plan.plan_id, plan.result.findings[0].code) == (0, "task-longer-than-limit")


def test_a_job_that_is_stopped_keeps_its_best(ask, address):
    asked = 10**9
    job = ask(LONG, BalanceSettings(method="comsoal", limit=97, trials=asked))
    for line in job.stdout:
        if json.loads(line)["event"] == "better":
            break
    job.stdin.close()
    job.wait(300)
    (plan,) = open_store(address).plans("L-700")
    assert plan.result.has_plan
    assert plan.result.effort.trials < asked  # nothing but the request ends it before


def test_a_job_that_is_refused_says_so(ask, address, tmp_path):
    store = open_store(address)
    draft = put_in(store, LAMP)
    request = job_request(address, draft, "main", BalanceSettings(), **ANA)
    request = replace(request, address=f"sqlite:///{tmp_path}/another.db")
    done = subprocess.run(
        [sys.executable, "-m", "stationflow.cli.job"],
        input=REQUEST.to_json(request) + "\n",
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    event = json.loads(done.stdout.splitlines()[-1])
    assert (event["event"], "no product L-100" in event["message"]) == ("refused", True)
