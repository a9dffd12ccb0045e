# ruff: noqa: T201 (a script that prints a table)
"""Seconds to print 1, 20 and 200 station cards as PDF, with and without pictures.

Every card differs in its words and its code. The first print of the process reads the
fonts and is told apart; the others run on fresh cards, so that nothing set before is
used again.
Run: python tests/benchmarks/cards_speed.py
"""

import sys
from dataclasses import replace
from itertools import count
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "cards"))
sys.path.insert(0, str(Path(__file__).parents[2]))

from sample_station import TASKS, fan, pictures, plan_of

from stationflow.cards import Card, cards_pdf, station_cards

RUN = count(1)


def cards(number: int, tasks: int) -> tuple[Card, ...]:
    """Return so many cards with so many tasks each; no two prints share a word."""
    run = next(RUN)
    made = []
    for station in range(number):
        for task in TASKS[:tasks]:
            steps = tuple(replace(s, text=f"{s.text} {run}-{station}") for s in task.steps)
            own = f"{station:03d}-{task.number}"
            made.append(replace(task, number=own, steps=steps, predecessors=()))
    product = fan(tasks=tuple(made))
    stations = [tuple(t.number for t in made[i : i + tasks]) for i in range(0, len(made), tasks)]
    return station_cards(product, plan_of(product, *stations), version_label=f"version {run}")[0]


def seconds(number: int, tasks: int, shown: dict[str, bytes]) -> float:
    """Return the seconds one print takes."""
    made = cards(number, tasks)
    started = perf_counter()
    cards_pdf(made, shown)
    return perf_counter() - started


def main() -> None:
    """Measure and print."""
    print(f"first print of the process: {seconds(1, 1, {}):.2f} s")
    for tasks in (1, 4):
        for name, shown in (("without", {}), ("with", pictures())):
            taken = [
                f"{number:4d}: {seconds(number, tasks, shown):6.2f} s" for number in (1, 20, 200)
            ]
            print(f"{tasks} tasks a card, {name:7} pictures   " + "   ".join(taken))


if __name__ == "__main__":
    main()
