"""The questions of the exact benchmark: published instances, the fixed sample, the growth set.

Sources of the instances: Scholl, A. (1993), "Data of assembly line balancing
problems", TH Darmstadt; Otto, A., Otto, C. and Scholl, A. (2013), European Journal
of Operational Research 228, 33-45.
"""

import os
import random
import re
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from stationflow.balancing.work import LineWork
from stationflow.files.instances import read_instance
from tests.balancing.published_lines import rows, scholl_cases, scholl_lines

OTTO_CLASSES = ("medium", "large", "very_large")
SETS = ("scholl1", *OTTO_CLASSES, "scholl2", "growth", "sample")

SCHOLL_SAMPLE = {
    # The hard ones.
    "Warnecke": (54, 65, 86),
    "Scholl": (1394, 1515, 1787, 2247),
    "Barthol2": (84, 85, 89, 91, 93, 95, 97, 99, 133),
    "Arcus2": (7520, 5755, 11570),
    "Wee-Mag": (47, 49, 50, 42, 45),
    "Arcus1": (10816, 6883),
    # The middling and the easy ones.
    "Barthold": (403,),
    "Buxey": (30,),
    "Gunther": (54,),
    "Hahn": (2338,),
    "Heskiaoff": (205,),
    "Kilbridge": (57,),
    "Lutz1": (1572,),
    "Lutz2": (11,),
    "Lutz3": (118,),
    "Mitchell": (21,),
    "Mukherje": (211,),
    "Roszieg": (18,),
    "Sawyer": (30,),
    "Tonge": (251,),
}
"""Limits of the 40 cases of Scholl's set in the sample."""

OTTO_SAMPLE = {
    # Every fifth of the files here by number, from the first on; very large: every
    # eighth from the third on.
    "medium": tuple(range(2, 478, 25)),
    "large": tuple(range(1, 477, 25)),
    "very_large": tuple(range(34, 515, 120)),
}
"""Numbers of the instances of 2013 in the sample, a file name ending in `_<number>.alb`."""

HIGHS_SAMPLE = (
    "Buxey 30",
    "Gunther 54",
    "Hahn 2338",
    "Mitchell 21",
    "Lutz1 1572",
    "Warnecke 54",
    "Tonge 251",
    "Wee-Mag 47",
    "Barthol2 84",
    "Scholl 1394",
)
"""The ten cases of the sample that HiGHS is asked."""

GROWTH_SIZES = (20, 50, 100, 200, 500, 1000)
GROWTH_MADE = (200, 500)
"""Sizes for which no instance is published: drawn from those of 1000 tasks."""
GROWTH_EACH = 15
GROWTH_STRENGTH = {"small": (0.5, 0.57), "medium": (0.55, 0.65), "large": (0.55, 0.65)}
"""Order strengths taken, nominally 0.6 each; the 20-task graphs come out lower."""
GROWTH_CLASSES = {20: "small", 50: "medium", 100: "large", 1000: "very_large"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of the benchmark.

    Attributes
    ----------
    group
        The set it belongs to at home: "scholl1", "medium", "scholl2" ...
    name
        Unlike that of any other question: "Warnecke 54", "n=50_102", "Buxey m=7".
    work
        The line.
    takt
        Limit of a station in file units; None: the shortest cycle is asked.
    stations
        Number of stations; None: the fewest are asked.
    lower, upper
        Best published bounds on the answer; None: none is known here.
    """

    group: str
    name: str
    work: LineWork
    takt: int | None = None
    stations: int | None = None
    lower: int | None = None
    upper: int | None = None


def instances_folder() -> Path:
    """Return the folder of the published sets, from the environment."""
    return Path(os.environ["STATIONFLOW_INSTANCES"])


@cache
def questions(name: str) -> tuple[Question, ...]:
    """Return the questions of a set."""
    if name == "scholl1":
        return _scholl1()
    if name == "scholl2":
        return _scholl2()
    if name == "growth":
        return growth_questions()
    if name == "sample":
        return sample_questions()
    return _otto(name)


def asked_of(name: str, solver: str) -> tuple[Question, ...]:
    """Return the questions of a set that a solver is asked: HiGHS ten of the sample."""
    found = questions(name)
    if name == "sample" and solver == "highs":
        return tuple(question for question in found if question.name in HIGHS_SAMPLE)
    return found


def sample_questions() -> tuple[Question, ...]:
    """Return the fixed sample: 40 of Scholl, 20 medium, 20 large, 5 very large."""
    names = [f"{graph} {takt}" for graph, takts in SCHOLL_SAMPLE.items() for takt in takts]
    names += [
        f"{otto_prefix(group)}{number}"
        for group, numbers in OTTO_SAMPLE.items()
        for number in numbers
    ]
    known = {q.name: q for group in ("scholl1", *OTTO_CLASSES) for q in questions(group)}
    return tuple(known[name] for name in names)


def otto_prefix(group: str) -> str:
    """Return the beginning of the names of a class: "n=50_"."""
    size = {"small": 20, "medium": 50, "large": 100, "very_large": 1000}[group]
    return f"n={size}_"


def _scholl1() -> tuple[Question, ...]:
    """Return the 269 cases: the fewest stations for a limit."""
    folder = instances_folder()
    lines = scholl_lines(folder)
    return tuple(
        Question(
            group="scholl1",
            name=f"{graph} {takt}",
            work=lines[graph],
            takt=takt,
            lower=optimum,
            upper=optimum,
        )
        for graph, takt, optimum in scholl_cases(folder)
    )


def _scholl2() -> tuple[Question, ...]:
    """Return the 302 cases: the shortest cycle for a number of stations."""
    folder = instances_folder()
    lines = scholl_lines(folder)
    return tuple(
        Question(
            group="scholl2",
            name=f"{row['graph']} m={row['stations']}",
            work=lines[row["graph"]],
            stations=int(row["stations"]),
        )
        for row in rows(folder / "scholl_salbp2_questions.csv")
    )


def _otto(group: str) -> tuple[Question, ...]:
    """Return the instances of one class, by number, with the best bounds known."""
    folder = instances_folder()
    bounds = {
        row["instance"]: (int(row["lower_bound"]), int(row["upper_bound"]))
        for row in rows(folder / "otto_bounds.csv")
    }
    found = []
    for path in sorted((folder / "otto" / group).glob("*.alb"), key=_number):
        instance = read_instance(path)
        lower, upper = bounds[path.name]
        found.append(
            Question(
                group=group,
                name=path.stem.removeprefix("instance_"),
                work=instance.work,
                takt=int(instance.cycle_time or 0),
                lower=lower,
                upper=upper,
            )
        )
    return tuple(found)


def _number(path: Path) -> int:
    """Return the number at the end of a file's name."""
    return int(re.findall(r"\d+", path.stem)[-1])


def growth_questions() -> tuple[Question, ...]:
    """Return 15 questions for each size, all of nominal order strength 0.6.

    With 20, 50, 100 and 1000 tasks they are published instances. With 200 and 500
    tasks they are made here from those of 1000: so many tasks drawn at random (seed:
    the instance's number), the order between them kept, so that order strength and
    task times are those of the whole, but for chance.
    """
    largest = _of_strength("very_large")
    found: list[Question] = []
    for size in GROWTH_SIZES:
        if size in GROWTH_MADE:
            found += [drawn_question(question, size) for question in largest]
        else:
            found += _of_strength(GROWTH_CLASSES[size])
    return tuple(found)


def _of_strength(group: str) -> tuple[Question, ...]:
    """Return 15 questions of a class in the range of order strength, spread evenly."""
    low, high = GROWTH_STRENGTH.get(group, (0.55, 0.65))
    within = [q for q in questions(group) if low <= order_strength(q.work.predecessors) <= high]
    step = len(within) / GROWTH_EACH
    return tuple(within[int(step * k)] for k in range(min(GROWTH_EACH, len(within))))


def drawn_question(question: Question, size: int) -> Question:
    """Return a smaller question: tasks drawn at random, the order between them kept."""
    number = int(question.name.rpartition("_")[2])
    work = question.work
    drawn = sorted(random.Random(number).sample(range(len(work.times)), size))
    at = {task: position for position, task in enumerate(drawn)}
    everything = before_sets(work.predecessors)
    # Of the tasks before, those that are not before another of them are arrows.
    arrows = []
    for task in drawn:
        before = {other for other in drawn if everything[task] >> other & 1}
        behind = 0
        for other in before:
            behind |= everything[other]
        arrows.append(tuple(at[other] for other in sorted(before) if not behind >> other & 1))
    made = replace(
        work,
        numbers=tuple(str(position + 1) for position in range(size)),
        times=tuple(work.times[task] for task in drawn),
        predecessors=tuple(arrows),
    )
    return Question(group="growth", name=f"n={size}_from_{number}", work=made, takt=question.takt)


def before_sets(predecessors: tuple[tuple[int, ...], ...]) -> list[int]:
    """Return for each task all tasks before it, directly or not, one bit for each."""
    known: dict[int, int] = {}

    def before(task: int) -> int:
        waiting = [task]
        while waiting:
            top = waiting[-1]
            missing = [other for other in predecessors[top] if other not in known]
            if missing:
                waiting += missing
                continue
            bits = 0
            for other in predecessors[top]:
                bits |= known[other] | 1 << other
            known[top] = bits
            waiting.pop()
        return known[task]

    return [before(task) for task in range(len(predecessors))]


def order_strength(predecessors: tuple[tuple[int, ...], ...]) -> float:
    """Return ordered pairs of tasks divided by all pairs, 0 to 1."""
    size = len(predecessors)
    pairs = sum(bits.bit_count() for bits in before_sets(predecessors))
    return pairs / (size * (size - 1) / 2) if size > 1 else 0.0
