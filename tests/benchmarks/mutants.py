# ruff: noqa: T201 (a script that prints a table)
"""Break the core at 60 fixed places, one at a time, and say which tests see it.

Run: python tests/benchmarks/mutants.py [--only 3,17] [--jobs 2] [--seconds 300]
A copy of package and tests is broken, never the checkout. Ends with 1 if a break is not seen.
"""

import argparse
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[2]
COPIED, LINKED = ("stationflow", "tests"), ("pyproject.toml", "demo_products", "app.py")
SEEN_BY = re.compile(r"^(?:FAILED|ERROR) (?:tests/)?(\S+)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One place that is broken.

    Attributes
    ----------
    module
        Below `stationflow/`.
    old, new
        A text that stands once in it, and what takes its place.
    broken
        What is wrong then, in words.
    tests
        The files below `tests/` that should see it, quickest first, parted by blanks.
    equivalent
        Why no test can see it; empty: one must.
    """

    module: str
    old: str
    new: str
    broken: str
    tests: str
    equivalent: str = ""

    @property
    def files(self) -> tuple[str, ...]:
        """What is run: the tests, and the examples of the module itself."""
        return (*(f"tests/{file}" for file in self.tests.split()), f"stationflow/{self.module}")


WORK = "balancing/test_balancing_work.py"
BOUNDS = "balancing/test_balancing_bounds.py balancing/test_balancing_textbook.py"
GOALS = "balancing/test_balancing_goals.py"
VERIFY = "balancing/test_balancing_verify.py"
METRICS = "balancing/test_balancing_metrics.py"
LIMITS = "balancing/test_limits.py"
AGE = "balancing/test_plan_age.py balancing/test_plan_inputs.py"
TAKT = "pace/test_pace_takt.py"
HOURS = "pace/test_pace_working_time.py pace/test_pace_takt.py"
LINES = "network/test_line_tree.py network/test_network_joins.py"
EDITORS = "editing/test_editing_two_editors.py"
SPLITTING = "editing/test_editing_splitting.py"
CHANGES = "editing/test_editing_task_changes.py editing/test_editing_two_editors.py"
CELLS = "model/test_schema_cells.py files/test_files_folder.py"
NAMES = "model/test_references.py editing/test_editing_splitting.py"
CODEC = "files/test_files_codec.py"
STORE = "storage/test_store.py"
PARTS = "supply/test_supply_parts_list.py"
CARDS = "cards/test_cards_content.py"

MUTANTS = (
    Mutant(
        "balancing/problem.py",
        "rounding=ROUND_FLOOR",
        'rounding="ROUND_CEILING"',
        "a limit is rounded up to ticks",
        WORK,
    ),
    Mutant(
        "balancing/problem.py",
        "int(ticks) // scale",
        "-(-int(ticks) // scale)",
        "a limit is rounded up to whole units",
        WORK,
    ),
    Mutant(
        "balancing/problem.py",
        "forms=self.forms if stations is None else self.forms.mirrored(stations)",
        "forms=self.forms",
        "seen from its end a line keeps its station numbers",
        LIMITS,
    ),
    Mutant(
        "balancing/problem.py",
        "return self.size + forms.last_named + apart + waits",
        "return self.size",
        "stations that limits name are not counted",
        LIMITS,
    ),
    Mutant(
        "balancing/work.py",
        "rounding=ROUND_HALF_UP",
        'rounding="ROUND_HALF_DOWN"',
        "the mean over the mix is rounded half down",
        WORK,
    ),
    Mutant(
        "balancing/work.py",
        "if not sum(shares):",
        "if False:",
        "shares that are not entered are divided by",
        WORK,
    ),
    Mutant(
        "balancing/bounds.py",
        "(2 * time >= limit > 0)",
        "(2 * time > limit > 0)",
        "LB2 leaves out tasks of just half the limit",
        BOUNDS,
    ),
    Mutant(
        "balancing/bounds.py",
        "return 4 if 3 * time == 2 * limit else 6",
        "return 6",
        "LB3 is too high at two thirds of the limit",
        BOUNDS,
    ),
    Mutant(
        "balancing/bounds.py",
        "times[other] + times[position] > limit",
        "times[other] + times[position] >= limit",
        "two tasks that just fit are a station apart",
        BOUNDS,
    ),
    Mutant(
        "balancing/bounds.py",
        "(len(longest) - 1) // stations + 1",
        "2",
        "only two of the longest tasks must share",
        BOUNDS,
    ),
    Mutant(
        "balancing/bounds.py",
        "stations + 1 - tail for",
        "stations - tail for",
        "the last station of a task is one too early",
        BOUNDS,
    ),
    Mutant(
        "balancing/goals.py",
        "used == answer.lower_bound:",
        "used >= answer.lower_bound:",
        "every plan is called optimal",
        GOALS,
    ),
    Mutant(
        "balancing/goals.py",
        "watch.part(1 / (len(promising) - at))",
        "watch.part(1)",
        "the first number of stations gets all the time",
        GOALS,
    ),
    Mutant(
        "balancing/goals.py",
        "if high is not None and high < low[m]:",
        "if high is not None and high <= low[m]:",
        "a number of stations that may be better is not asked",
        GOALS,
    ),
    Mutant(
        "balancing/goals.py",
        "Ending.OPTIMAL if value <= bound",
        "Ending.OPTIMAL if value <= bound + 1",
        "a cycle time one above its bound is called optimal",
        GOALS,
    ),
    Mutant(
        "balancing/mix_loads.py",
        "if load > limit]",
        "if load >= limit]",
        "a model just at the limit is told to be over it",
        WORK,
    ),
    Mutant(
        "balancing/verify.py",
        "if load > most:",
        "if load > most + 1:",
        "a station a millisecond over its limit holds",
        VERIFY,
    ),
    Mutant(
        "balancing/verify.py",
        "places[before] < places[number]",
        "places[before][0] <= places[number][0]",
        "the order within a station is not checked",
        VERIFY,
    ),
    Mutant(
        "balancing/verify.py",
        "len(stations) > most_stations:",
        "len(stations) > most_stations + 1:",
        "a plan may have one station too many",
        VERIFY,
    ),
    Mutant(
        "balancing/verify.py",
        "(at > (limits.latest_station or at)",
        "(at - 1 > (limits.latest_station or at)",
        "a task may be one station too late",
        LIMITS,
    ),
    Mutant(
        "balancing/verify.py",
        "at not in having[name]",
        "not having[name]",
        "equipment that a station lacks is not missed",
        LIMITS,
    ),
    Mutant(
        "balancing/methods/priority.py",
        "-(-problem.total // most) + problem.longest)",
        "-(-problem.total // most))",
        "the limit for the shortest cycle stops too low",
        GOALS,
    ),
    Mutant(
        "balancing/methods/priority.py",
        "start = min(start, place)",
        "start = max(start, place)",
        "tasks that became available before are passed over",
        f"{GOALS} balancing/test_balancing_textbook.py",
    ),
    Mutant(
        "balancing/methods/priority.py",
        "return (longest, unevenness, len(work))",
        "return (unevenness, longest, len(work))",
        "of two directions the smoother wins, not the shorter cycle",
        GOALS,
    ),
    Mutant(
        "balancing/methods/comsoal_kernel.py",
        "if stations + needed >= best:",
        "if stations + needed > best:",
        "a trial that is no better counts as better",
        GOALS,
    ),
    Mutant(
        "balancing/methods/comsoal.py",
        "limit = cycle - 1\n",
        "limit = cycle - 2\n",
        "the shortest cycle is passed over by one unit",
        GOALS,
    ),
    Mutant(
        "balancing/metrics.py",
        "return 1.0 - balance_efficiency(loads, limit)",
        "return 1.0 - balance_efficiency(loads)",
        "the balance delay forgets the limit",
        METRICS,
    ),
    Mutant(
        "balancing/metrics.py",
        "Goal.BEST_EFFICIENCY: cycle * stations",
        "Goal.BEST_EFFICIENCY: cycle",
        "the gap of the best efficiency forgets the stations",
        METRICS,
    ),
    Mutant(
        "balancing/arrows.py",
        "default=None)\n        before[position] = best",
        "default=None)\n        best = next(iter(predecessors[position]), None)\n"
        "        before[position] = best",
        "the longest path follows the first predecessor",
        WORK,
    ),
    Mutant(
        "balancing/limits/kinds/zone.py",
        "free = ALL_STATIONS & ~station_set(",
        "free = ALL_STATIONS & station_set(",
        "a zone nobody states goes where others are stated",
        LIMITS,
    ),
    Mutant(
        "balancing/limits/stated.py",
        "if thing in stated:",
        "if thing in stated and len(tuple(asks(limits))) == 1:",
        "of several pieces of equipment none is needed",
        LIMITS,
    ),
    Mutant(
        "balancing/limits/station_filling.py",
        "self._foes |= bars.foes[task]",
        "self._foes |= 0",
        "rules put tasks that are kept apart together",
        LIMITS,
    ),
    Mutant(
        "balancing/limits/clashes.py",
        "max(needed) > most:",
        "max(needed) >= most:",
        "as many stations as are needed are called too few",
        LIMITS,
    ),
    Mutant(
        "balancing/plan_inputs.py",
        'replace(model, title="")',
        'replace(model, title="", share=1)',
        "another mix leaves a plan up to date",
        AGE,
    ),
    Mutant(
        "pace/takt.py",
        "if facts.station_time <= 0:",
        "if facts.station_time < 0:",
        "a station time of nothing is not named",
        TAKT,
    ),
    Mutant(
        "pace/takt.py",
        "0 < share <= 1)",
        "0 < share < 2)",
        "a yield above 1 is a share",
        TAKT,
    ),
    Mutant(
        "pace/working_time.py",
        "len(set(calendar.days))",
        "len(calendar.days)",
        "a day named twice counts twice",
        HOURS,
    ),
    Mutant(
        "pace/working_time.py",
        "if both <= 0:",
        "if both < 0:",
        "shifts that meet overlap",
        HOURS,
    ),
    Mutant(
        "pace/capacity.py",
        "if station_time <= 0 or",
        "if station_time < 0 or",
        "workers are computed without station time",
        "pace/test_pace_capacity.py",
    ),
    Mutant(
        "network/line_tree.py",
        "for each in way) else way",
        "for each in ()) else way",
        "a line that leads nowhere leads to the main line",
        LINES,
    ),
    Mutant(
        "network/joins.py",
        "return joins, set(joins).union(*(nx.descendants(graph, join) for join in joins))",
        "return joins, set(joins)",
        "tasks after a join may not take a feeder's arrow",
        LINES,
    ),
    Mutant(
        "editing/two_editors.py",
        "!= task and task.number not in alike:",
        "!= task:",
        "a task both renumber alike is taken for two",
        EDITORS,
    ),
    Mutant(
        "editing/two_editors.py",
        "while at < len(order) and order[at] not in there:",
        "while False:",
        "what both add at one place stands in the wrong order",
        EDITORS,
    ),
    Mutant(
        "editing/renaming.py",
        "if old not in there and there[new] == 1",
        "if there[new] == 1",
        "a number that another task bears is carried along",
        CHANGES,
    ),
    Mutant(
        "editing/task_splitting.py",
        "key=lambda i: (-(total * weights[i] % whole), i)",
        "key=lambda i: i",
        "what rounding leaves goes to the first part",
        SPLITTING,
    ),
    Mutant(
        "editing/task_splitting.py",
        "rooted(Fraction(task.time_sd_ms**2 * weights[i], whole))",
        "task.time_sd_ms * weights[i] // whole",
        "the deviation is divided like the time, not its square",
        SPLITTING,
    ),
    Mutant(
        "model/schema/cells.py",
        "is_rounded=kept != number * unit.milliseconds",
        "is_rounded=False",
        "a time that is rounded is not told",
        CELLS,
    ),
    Mutant(
        "model/references.py",
        'Reference("lags.before", Thing.TASK, NO_END, LAST,',
        'Reference("lags.before", Thing.TASK, NO_END, FIRST,',
        "a time between tasks counts from the first part of a split",
        NAMES,
    ),
    Mutant(
        "model/references.py",
        'fine = known if reference.is_needed else {*known, ""}',
        'fine = {*known, ""}',
        "a task on no line is not named",
        NAMES,
    ),
    Mutant(
        "files/codec.py",
        "return float(text) + 0.0",
        "return float(text)",
        "a negative zero is another product",
        CODEC,
    ),
    Mutant(
        "files/codec.py",
        "if form > self.form:",
        "if form > self.form + 1:",
        "the next form is read as if it were known",
        CODEC,
    ),
    Mutant(
        "files/plan_document.py",
        'document.get("limit", document.get("takt"))',
        'document.get("limit")',
        "the limit of an older document is lost",
        "files/test_files_plan_document.py",
    ),
    Mutant(
        "storage/stored_products.py",
        "shown = newest.restores or newest.save_id",
        "shown = newest.save_id",
        "an edit after an undo does not know where it came from",
        STORE,
    ),
    Mutant(
        "storage/saves.py",
        "newest.author == by.name\n        and ",
        "",
        "saves of two authors share a version",
        STORE,
    ),
    Mutant(
        "storage/database.py",
        '"BEGIN IMMEDIATE" if writing else "BEGIN"',
        '"BEGIN"',
        "two who save at once are not told apart",
        STORE,
    ),
    Mutant(
        "storage/stored_products.py",
        "if newest.checksum != base:",
        "if False:",
        "a save from an older state overwrites a newer one",
        STORE,
    ),
    Mutant(
        "supply/parts_list.py",
        "exact(use.quantity) * units",
        "exact(use.quantity)",
        "parts of a feeder count once",
        PARTS,
    ),
    Mutant(
        "cards/contents/times.py",
        "key=lambda i: (down[i] - given[i], i)",
        "key=lambda i: i",
        "what rounding leaves of a task goes to its first step",
        CARDS,
    ),
    Mutant(
        "cards/contents/content.py",
        "load.work_ticks) > len(tasks)",
        "load.work_ticks) > 1000 * len(tasks)",
        "a card may differ from its plan by seconds",
        CARDS,
    ),
    Mutant(
        "cards/contents/content.py",
        "is_over=over > 0",
        "is_over=over >= 0",
        "a station just at its limit is told to be over it",
        CARDS,
    ),
)


def main() -> None:
    """Break one place after another and print what is seen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="numbers of places, parted by commas")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=300.0, help="time limit of a place")
    options = parser.parse_args()
    chosen = [int(n) for n in options.only.split(",") if n] or list(range(1, len(MUTANTS) + 1))
    trees = SimpleQueue[Path]()

    def seen_by(number: int) -> str:
        tree = trees.get()
        try:
            with broken(tree, number):
                return first_failed(tree, MUTANTS[number - 1].files, options.seconds)
        finally:
            trees.put(tree)

    alive = []
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(options.jobs) as pool:
        for job in range(options.jobs):
            trees.put(copied(Path(folder) / str(job)))
        files = sorted({file for n in chosen for file in MUTANTS[n - 1].files})
        shares = [files[job :: options.jobs] for job in range(min(options.jobs, len(files)))]
        if failed := [f for f in pool.map(lambda own: unbroken(trees, own), shares) if f]:
            sys.exit(f"Fails with nothing broken: {', '.join(failed)}.")
        print(f"{'':3} {'module':44} {'what is broken':62} seen by")
        for number, test in zip(chosen, pool.map(seen_by, chosen), strict=True):
            mutant = MUTANTS[number - 1]
            if not test and not mutant.equivalent:
                alive.append(number)
            outcome = test or (mutant.equivalent and f"equivalent: {mutant.equivalent}") or "ALIVE"
            print(f"{number:3} {mutant.module:44} {mutant.broken:62} {outcome}", flush=True)
    print(f"{len(chosen) - len(alive)} of {len(chosen)} are seen or equivalent; alive: {alive}")
    sys.exit(bool(alive))


def copied(tree: Path) -> Path:
    """Return a new copy of package and tests."""
    tree.mkdir()
    for name in COPIED:
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in LINKED:
        (tree / name).symlink_to(ROOT / name)
    return tree


@contextmanager
def broken(tree: Path, number: int) -> Iterator[None]:
    """Break one place of a copy for a while."""
    mutant = MUTANTS[number - 1]
    path = tree / "stationflow" / mutant.module
    text, at = path.read_text("utf-8"), path.stat().st_mtime_ns
    path.write_text(text.replace(mutant.old, mutant.new), "utf-8")
    # What is compiled is kept by time and size of its source: no two states share a second.
    os.utime(path, ns=(at, at + number * 10**9))
    try:
        yield
    finally:
        path.write_text(text, "utf-8")
        os.utime(path, ns=(at, at))


def unbroken(trees: SimpleQueue[Path], files: Sequence[str]) -> str:
    """Return the first test that fails with nothing broken; empty: none."""
    tree = trees.get()
    try:
        return first_failed(tree, files, None)
    finally:
        trees.put(tree)


def first_failed(tree: Path, files: Sequence[str], seconds: float | None) -> str:
    """Return the first test of some files that fails on a copy; empty: none."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"]
    command += ["--hypothesis-seed=0", *files]
    with subprocess.Popen(
        command,
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    ) as running:
        try:
            said, _ = running.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            return "no end within the time limit"
    if not running.returncode:
        return ""
    if found := SEEN_BY.search(said):
        return found[1]
    raise RuntimeError(said)


if __name__ == "__main__":
    main()
