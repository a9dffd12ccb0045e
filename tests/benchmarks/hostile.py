"""Open files made to hurt, each in a process of its own, and say what it took.

Run: python -m tests.benchmarks.hostile [--mutated 440] [--only WORD] [--jobs 1] [--seconds 10]
Each file is opened as a person would: folders, workbooks and instances by the commands `check` and
`balance`, sheets of strangers as the Import page does. It prints what took longest, the most
memory, and what went wrong: over the limits, a traceback, no sentence, a file changed outside.
"""

import argparse
import hashlib
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.hostile_files import MAKERS, mutated

ROOT = Path(__file__).parents[2]
MOST_S = 10.0  # of processor time
MOST_MB = 1_500
CAGE_MB, CAGE_S = 4_000, 30  # what a process may take before the system ends it
RULE = ("--limit", "60", "--method", "ranked-positional-weight")
USUAL = (0, 1, 2)  # how commands end
SLOWEST = 12


@dataclass(frozen=True, slots=True)
class Opening:
    """What came of opening one file by one command."""

    name: str
    command: str
    code: int
    seconds: float  # of processor time
    megabytes: int
    said: str
    most_s: float = MOST_S

    @property
    def line(self) -> str:
        """What it took."""
        return f"{self.seconds:6.1f} s {self.megabytes:5d} MB  {self.command} {self.name}"

    @property
    def wrong(self) -> str:
        """What went wrong; empty: nothing."""
        if "Traceback" in self.said or "unforeseen" in self.said:
            return "a traceback"
        if self.code not in USUAL:
            return f"ended with code {self.code}"
        if self.code and not self.said.strip():
            return "nothing was said"
        if self.seconds > self.most_s or self.megabytes > MOST_MB:
            return "over the limits"
        return ""


def commands(path: Path, *, is_made: bool) -> list[tuple[str, ...]]:
    """Return how a file is opened."""
    if path.suffix in (".csv", ".txt"):
        return [("tests.benchmarks.hostile", "--sheet", str(path))]
    check = ("stationflow", "check", str(path))
    balance = ("stationflow", "balance", str(path), *RULE)
    sheet = ("tests.benchmarks.hostile", "--sheet", str(path))
    every = [check, balance] if is_made else [check]
    return [*every, sheet] if path.suffix == ".xlsx" else every


def opening(name: str, command: tuple[str, ...], home: Path, most_s: float) -> Opening:
    """Run a command in a process of its own and measure it."""

    def caged() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (CAGE_MB << 20, CAGE_MB << 20))
        resource.setrlimit(resource.RLIMIT_CPU, (CAGE_S, CAGE_S))

    store = f"sqlite:///{home}/store.db"
    with tempfile.TemporaryFile() as out:
        process = subprocess.Popen(
            [sys.executable, "-m", *command],
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=subprocess.STDOUT,
            preexec_fn=caged,
            cwd=ROOT,
            env={**os.environ, "STATIONFLOW_DATABASE": store, "HOME": str(home)},
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        said = out.read(2_000_000).decode("utf-8", "replace")
    opened = Opening(
        name=name,
        command=command[1],
        code=process.returncode,
        seconds=used.ru_utime + used.ru_stime,
        megabytes=used.ru_maxrss // 1024,
        said=said,
        most_s=most_s,
    )
    sys.stderr.write(f"{opened.line} {opened.wrong}\n")
    return opened


def open_sheet(path: Path) -> None:
    """Read a stranger's sheet and look at what it would bring in, as the Import page does."""
    from stationflow.actions.importing.bringing_in import preview
    from stationflow.errors import StationflowError
    from stationflow.files.foreign.columns.headings import guess_mapping, likeliest_sheet
    from stationflow.files.foreign.sheets.foreign_file import read_foreign
    from stationflow.model import Product

    try:
        sheet = likeliest_sheet(read_foreign(path.read_bytes(), path.name))
        looked_at = preview(Product(code="new"), sheet, guess_mapping(sheet), {})
        sys.stdout.write(f"{looked_at.count} rows, {len(looked_at.imported.report)} remarks\n")
        for each in looked_at.imported.report[:50]:
            sys.stdout.write(f"{each.message}\n")
    except StationflowError as problem:
        sys.stdout.write(f"{problem}\n")


def checksums(folder: Path) -> dict[str, str]:
    """Return the checksum of every file below a folder."""
    return {
        str(path): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.is_symlink()
    }


def campaign(
    below: Path, *, broken: int, only: str = "", jobs: int = 1, most_s: float = MOST_S
) -> list[Opening]:
    """Make the set, open all of it, and return what came of it; a changed file counts as wrong."""
    made = {n: make(below / n) for n, make in MAKERS.items() if only in n}
    demos = ROOT / "demo_products"
    good = [path for n, path in made.items() if n in GOOD] or [demos / "desk_fan"]
    good += [demos / "desk_fan", demos / "stand_mixer"]
    hurt = below / "hurt"
    hurt.mkdir()
    for number in range(broken):
        path = mutated(number, good, hurt)
        made[f"mutated {path.name}"] = path
    home = below / "home"
    home.mkdir()
    every = {name: commands(path, is_made=name in MAKERS) for name, path in made.items()}
    before = checksums(below)
    with ThreadPoolExecutor(jobs) as pool:
        openings = list(
            pool.map(
                lambda each: opening(*each, home, most_s),
                [(name, command) for name, several in every.items() for command in several],
            )
        )
    changed = [f for f, sum_ in checksums(below).items() if before.get(f, "home") != sum_]
    strange = [f for f in changed if not f.startswith(str(home))]
    strange += [f for f in before if not Path(f).is_file()]
    return [*openings, *(Opening(f, "changed", -1, 0, 0, "") for f in strange)]


GOOD = ("workbook_of_5_000_tasks", "sheet_of_5_000_tasks", "instance_of_5_000_tasks")
"""Of the set, what is broken at random beside demo products."""


def report(openings: list[Opening]) -> bool:
    """Print what it took; return whether all went well."""
    write = sys.stdout.write
    codes = Counter(opened.code for opened in openings)
    ended = ", ".join(f"{count} with {code}" for code, count in sorted(codes.items()))
    write(f"{len({o.name for o in openings})} files opened {len(openings)} times: {ended}\n")
    for title, key in (("slowest", "seconds"), ("most memory", "megabytes")):
        write(f"{title}:\n")
        for each in sorted(openings, key=lambda o: -getattr(o, key))[:SLOWEST]:
            write(f"  {each.line}\n")
    wrong = [opened for opened in openings if opened.wrong]
    write(f"wrong: {len(wrong)}\n")
    for each in wrong:
        said = " ".join(each.said[-300:].split())
        write(f"  {each.line}: {each.wrong}. {said}\n")
    return not wrong


def main() -> None:
    """Run the campaign, or open one sheet."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheet", type=Path)
    parser.add_argument("--mutated", type=int, default=440)
    parser.add_argument("--only", default="")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=MOST_S)
    asked = parser.parse_args()
    if asked.sheet:
        open_sheet(asked.sheet)
        return
    started = time.monotonic()
    with tempfile.TemporaryDirectory() as below:
        openings = campaign(
            Path(below),
            broken=asked.mutated,
            only=asked.only,
            jobs=asked.jobs,
            most_s=asked.seconds,
        )
    went_well = report(openings)
    sys.stdout.write(f"{time.monotonic() - started:.0f} s in all\n")
    sys.exit(0 if went_well else 1)


if __name__ == "__main__":
    main()
