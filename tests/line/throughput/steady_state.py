"""The steady state of a Markov chain with many states and few moves from each."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import numpy as np

S = TypeVar("S", bound=Hashable)
Vector = np.ndarray[tuple[int], np.dtype[np.float64]]

SPAN = 40
"""Vectors of one round: more converge in fewer rounds and take more memory."""
ROUNDS = 400
EXACT = 1e-13


@dataclass(frozen=True, slots=True)
class SteadyState(Generic[S]):
    """The states that are reached and the share of time in each."""

    states: tuple[S, ...]
    shares: Vector


def steady_state(start: S, moves: Callable[[S], list[tuple[float, S]]]) -> SteadyState[S]:
    """Return the shares of time of all states that are reached from `start`.

    `moves` says how often in one unit of time a state is left, and for which other one. The shares
    are those of the chain that is looked at so often that every state may stay (uniformisation):
    the vector that its steps leave as it is, by Arnoldi's method with the smallest singular vector
    in place of a root [1]_.

    References
    ----------
    .. [1] Golub, G. H. and Greif, C. (2006). "An Arnoldi-type algorithm for computing PageRank".
       BIT Numerical Mathematics 46, 759-771.
    """
    index: dict[S, int] = {start: 0}
    states, source, target, rate = [start], list[int](), list[int](), list[float]()
    for state in states:  # grows meanwhile
        for often, other in moves(state):
            if other not in index:
                index[other] = len(states)
                states.append(other)
            source.append(index[state])
            target.append(index[other])
            rate.append(often)
    return SteadyState(tuple(states), _kept_by(len(states), source, target, rate))


def _kept_by(size: int, source: list[int], target: list[int], rate: list[float]) -> Vector:
    rows, columns = np.array(source, dtype=int), np.array(target, dtype=int)
    out = np.bincount(rows, rate, size)
    fastest = float(out.max(initial=0)) * 1.05 or 1.0
    chance, stay = np.array(rate) / fastest, 1 - out / fastest

    def step(shares: Vector) -> Vector:
        moved: Any = np.bincount(columns, chance * shares[rows], size)
        moved += stay * shares
        return moved  # type: ignore[no-any-return]

    shares: Any = np.full(size, 1 / size)
    for _ in range(ROUNDS):
        shares, left = _refined(step, shares, min(SPAN, size))
        shares /= shares.sum()
        if left < EXACT:
            break
    positive: Any = np.maximum(shares, 0)
    return positive / positive.sum()  # type: ignore[no-any-return]


def _refined(step: Callable[[Vector], Vector], shares: Vector, span: int) -> tuple[Vector, float]:
    """Return a better vector out of a few steps from this one, and how far a step moves it."""
    base = [shares / np.linalg.norm(shares)]
    found = np.zeros((span + 1, span))
    for at in range(span):
        further = step(base[at])
        for _ in range(2):  # the second time takes out what rounding left
            parts = np.array([vector @ further for vector in base])
            found[: at + 1, at] += parts
            further = further - np.tensordot(parts, base, 1)
        length = float(np.linalg.norm(further))
        found[at + 1, at] = length
        if length < EXACT:
            span = at + 1
            break
        base.append(further / length)
    moved = found[: span + 1, :span] - np.eye(span + 1, span)
    _, singular, right = np.linalg.svd(moved)
    return np.tensordot(right[-1], base[:span], 1), float(singular[-1])
