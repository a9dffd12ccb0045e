"""``python -m stationflow.balancing.solver.solver_child``: questions in, plans and bounds out.

It ends when standard input is closed, which the end of its parent does.
"""

import pickle
import sys
from math import ceil
from time import time
from typing import Any

from stationflow.balancing.solver.engine_model import EngineModel
from stationflow.balancing.solver.solver_process import Question, Told

LEAST_S = 0.1
"""So long the solver is asked even where time is up when its model is written."""


def main() -> None:
    """Answer one question after another."""
    from ortools.sat.python import cp_model

    class Teller(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]  # it has no types
        """Tells of every plan as it is found."""

        def __init__(self, asked: EngineModel) -> None:
            super().__init__()
            self._asked = asked

        def on_solution_callback(self) -> None:
            _tell(Told(plan=self._asked.plan(self.value)))

    while True:
        try:
            question: Question = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        asked = EngineModel(
            question.problem, question.most, question.limit, question.low, question.high
        )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = question.cores
        solver.parameters.random_seed = question.seed
        if question.seconds is not None:
            left = question.asked_at + question.seconds - time()
            solver.parameters.max_time_in_seconds = max(LEAST_S, left)
        status = solver.solve(asked.model, Teller(asked))
        if status == cp_model.INFEASIBLE:
            _tell(Told(is_impossible=True, is_last=True))
        else:
            bound = max(question.low, ceil(solver.best_objective_bound - 1e-6))
            _tell(Told(bound=bound, is_last=True))


def _tell(told: Any) -> None:
    pickle.dump(told, sys.stdout.buffer)
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
