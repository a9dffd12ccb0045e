"""What is published of queues, yields, soak, sampling and drops, beside what we compute.

`python -m tests.line.published_quality` prints the table.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stationflow.line.quality import drop_test, sampling
from stationflow.line.quality.repair_loop import (
    place_waiting,
    poisson_quantile,
    repair_loop,
)
from stationflow.line.quality.yields import defects_per_unit, normalised_yield
from stationflow.line.queues import (
    Queue,
    erlang_b,
    erlang_c,
    finite_population,
    general_queue,
    state_shares,
)
from stationflow.model import DropProcedure, Packing, SampleLevel


@dataclass(frozen=True)
class Row:
    """One published value; printed as a fraction it is meant exactly, else to its last digit."""

    source: str
    case: str
    printed: str
    ours: Callable[[], float | Fraction | None]

    @property
    def agrees(self) -> bool:
        got = self.ours()
        if got is None:
            return False
        if "/" in self.printed:
            return Fraction(got) == Fraction(self.printed)
        decimals = len(self.printed.partition(".")[2])
        return abs(float(got) - float(self.printed)) <= 0.5000001 * 10**-decimals


def _rows(source: str, cases: dict[str, tuple[str, Callable[[], float | Fraction | None]]]):
    return [Row(source, case, printed, ours) for case, (printed, ours) in cases.items()]


def markov_queue(
    arrivals: float | Fraction, service: float | Fraction, servers: int = 1
) -> Queue[float | Fraction]:
    """Return M/M/c by its rates."""
    return general_queue(arrivals, 1 / service, servers)


def _in_scatter(both: float) -> float | None:
    return general_queue(0.9, 1.0, arrival_scatter=both, service_scatter=both).wait


def rolled_yield(shares: Sequence[float]) -> float:
    """Return the rolled throughput yield behind a normalised one: YN^k."""
    return normalised_yield(shares) ** len(shares)


HEIZER = "Heizer and Render, Operations Management, waiting-line module"
EXACT = "exact fractions of the formula"
SPEARMAN = "Hopp and Spearman, Factory Physics"
HARRY = "Harry (2004)"
SHEET = "course note"
M1, M2 = markov_queue(2.0, 3.0), markov_queue(2.0, 3.0, 2)
HALF_HOUR = markov_queue(Fraction(3), Fraction(2), 2)
DOWN = finite_population(5, 1, 0.1, 1.0)
LOOP, EVEN = repair_loop(0.92, 0.85, 0.05), repair_loop(0.95, 0.95, 0.0)
assert LOOP is not None
assert EVEN is not None
REJECTS = 80 * LOOP.repairs
BENCH = {benches: markov_queue(REJECTS, 5.0, benches) for benches in (2, 3, 4)}
SIX = [0.995, 0.989, 0.987, 0.993, 0.979, 0.940]

QUEUES = [
    *_rows(HEIZER, {
        "M/M/1 at 2 and 3: Lq": ("1.3333", lambda: M1.waiting),
        "M/M/1: L": ("2", lambda: M1.present),
        "M/M/1: Wq": (".6667", lambda: M1.wait),
        "M/M/2 at 2 and 3: C": (".1667", lambda: M2.wait_share),
        "M/M/2: Lq": (".08333", lambda: M2.waiting),
        "M/M/2: L": (".75", lambda: M2.present),
        "M/M/2: Wq": (".041667", lambda: M2.wait),
    }),
    *_rows(SHEET, {
        "M/M/2 at 3 and 2 an hour: Lq": ("1.93", lambda: HALF_HOUR.waiting),
        "M/M/2 at 3 and 2: C": ("9/14", lambda: HALF_HOUR.wait_share),
        "M/M/2 at 3 and 2: Wq in min": ("39", lambda: (HALF_HOUR.wait or 0) * 60),
        "M/M/1 at 49 and 55: Lq": ("7.2758", lambda: markov_queue(49.0, 55.0).waiting),
        "M/M/1 at 49 and 55: Wq": (".1485", lambda: markov_queue(49.0, 55.0).wait),
    }),
    Row("queue text", "Erlang C, 10 servers, 6 offered", "1458/14393",
        lambda: erlang_c(10, Fraction(6))),
    *[
        Row(EXACT, f"Erlang C, {servers} servers, {offered} offered", printed,
            lambda s=servers, a=offered: erlang_c(s, Fraction(a)))
        for servers, offered, printed in [
            (1, "0.5", "1/2"), (2, "1", "1/3"), (3, "2", "4/9"), (4, "3", "27/53"),
            (5, "4", "128/231"), (3, "2.5", "125/178"), (8, "6", "5832/16337"),
            (10, "8", ".40918"), (2, "1.9", "361/390"), (20, "18", ".55077"),
        ]
    ],
    *[
        Row(EXACT, f"M/M/{servers}, {offered} offered: Lq", printed,
            lambda s=servers, a=offered: markov_queue(a, 1.0, s).waiting)
        for servers, offered, printed in [
            (1, 0.5, ".5"), (2, 1.0, ".33333"), (3, 2.0, ".88889"), (4, 3.0, "1.52830"),
            (5, 4.0, "2.21645"), (3, 2.5, "3.51124"), (8, 6.0, "1.07094"), (10, 8.0, "1.63672"),
            (2, 1.9, "17.58718"), (20, 18.0, "4.95692"),
        ]
    ],
    *[
        Row(EXACT, f"Erlang B, {servers} servers, {offered} offered", printed,
            lambda s=servers, a=offered: erlang_b(s, a))
        for servers, offered, printed in [
            (1, 0.5, ".33333"), (2, 1.0, ".2"), (3, 2.0, ".21053"), (4, 3.0, ".20611"),
            (5, 4.0, ".19907"), (10, 8.0, ".12166"),
        ]
    ],
    Row("Pollaczek and Khinchine", "M/D/1 at 2 and 3: Lq", "2/3",
        lambda: general_queue(Fraction(2), Fraction(1, 3), service_scatter=Fraction(0)).waiting),
    # (1 - r) r^K / (1 - r^(K+1)); K 5: .059049 / .468559 = .126022, printed elsewhere as .12603
    *[
        Row("Gross and Harris", f"M/M/1/{room} at .9: lost", printed,
            lambda k=room: state_shares(lambda _: 0.9, lambda _: 1.0, k + 1)[-1])
        for room, printed in [(1, ".47368"), (5, ".12602"), (10, ".05081")]
    ],
    *_rows("machine-repair model", {
        "5 machines, 1 repairer, ratio .1: P0": (
            ".56395", lambda: state_shares(lambda k: 0.1 * (5 - k), lambda _: 1.0, 6)[0]),
        "5 machines: mean down": (".63952", lambda: DOWN.present),
        "5 machines: waiting": (".20347", lambda: DOWN.waiting),
        "5 machines: running": ("4.36048", lambda: 5 - (DOWN.present or 0)),
    }),
    *_rows(f"{SPEARMAN}, VUT equation (Kingman 1961)", {
        "u .9, t 1, ca2 = cs2 = 1": ("9", lambda: _in_scatter(1.0)),
        "u .9, t 1, ca2 = cs2 = .5": ("4.5", lambda: _in_scatter(0.5)),
    }),
]  # fmt: skip

YIELDS = [
    *_rows(HARRY, {
        "yield .9048: dpu": (".10", lambda: defects_per_unit(0.9048)),
        "yield .951229: dpu": (".0500", lambda: defects_per_unit(0.951229)),
        "yield .992032: dpu": (".0080", lambda: defects_per_unit(0.992032)),
        "RTY .85385 of all three: dpu": (".158", lambda: defects_per_unit(0.85385)),
    }),
    Row("glossary", "FPY .87 .93 .95: RTY", ".768645", lambda: rolled_yield([0.87, 0.93, 0.95])),
    Row("exercise", "7 defects in 50 units", ".14", lambda: defects_per_unit(0.8694)),
    *_rows("exercise, six steps", {
        "RTY": (".88756", lambda: rolled_yield(SIX)),
        "normalised yield": (".98032", lambda: normalised_yield(SIX)),
        "normalised DPU": (".01988", lambda: defects_per_unit(normalised_yield(SIX))),
        "total DPU": (".11928", lambda: defects_per_unit(rolled_yield(SIX))),
    }),
    *[
        Row("powers", f"{share} ^ {steps}", printed,
            lambda y=share, n=steps: rolled_yield([y] * n))
        for share, steps, printed in [
            (0.99, 10, ".90438"), (0.99, 50, ".60501"), (0.99, 100, ".36603"),
            (0.995, 50, ".77831"), (0.999, 100, ".90479"),
        ]
    ],
    *_rows("geometric series, and 400 000 simulated units", {
        "y1 .92 y2 .85 s .05: repairs": (".0932945", lambda: LOOP.repairs),
        "tests": ("1.0886297", lambda: LOOP.tests),
        "scrap": (".0046647", lambda: LOOP.scrapped),
        "final yield": (".9953353", lambda: LOOP.good),
        "starts for one good": ("1.0046866", lambda: 1 / LOOP.good),
        "y1 .95 y2 .95 s 0: repairs": (".0526316", lambda: EVEN.repairs),
        "y1 .95: tests": ("1.0526316", lambda: EVEN.tests),
    }),
    Row("M/M/c", "80 units/h, repair 12 min: rejects/h", "7.4636", lambda: REJECTS),
    *[
        Row("M/M/c", f"{benches} benches: {name}", printed, lambda b=benches, f=value: f(BENCH[b]))
        for benches, values in {
            2: (".6380", "15.09", "3.37"),
            3: (".2342", "1.86", "1.725"),
            4: (".0735", ".35", "1.536"),
        }.items()
        for (name, value), printed in zip(
            {
                "C": lambda q: q.wait_share,
                "Wq in min": lambda q: 60 * q.wait,
                "units in repair": lambda q: q.present,
            }.items(),
            values,
            strict=True,
        )
    ],
    *[
        Row("independent returns, f .08, s .05", f"waiting for a place, b {empty}", printed,
            lambda b=empty: place_waiting(0.076 * (1 - b), 1 - (1 - b) * (1 - 0.08)))
        for empty, printed in [(0.0, "17.6"), (0.01, "5.0"), (0.02, "2.9"), (0.05, "1.25")]
    ],
    *[
        Row("Poisson", f"mean {mean} in repair: {share:.1%}", printed,
            lambda m=mean, p=share: poisson_quantile(m, p))
        for mean, share, printed in [
            (5, 0.99, "11"), (10, 0.99, "18"), (16, 0.99, "26"),
            (5, 0.999, "13"), (10, 0.999, "21"), (16, 0.999, "30"),
        ]
    ],
]  # fmt: skip


def _acceptance(lot: int, limit: float, incoming: float) -> float:
    plan = sampling.sampling_plan(lot, SampleLevel.II, limit)
    return sampling.acceptance_share(plan, incoming)


def _drop(kg: float, procedure: DropProcedure = DropProcedure.ISTA_1A) -> drop_test.DropPlan:
    plan = drop_test.drop_plan(Packing(gross_kg=kg, drop_procedure=procedure))
    assert plan is not None
    return plan


SAMPLING = [
    Row("7 CFR 42.140, '26 percent'", "n 500, c 3 at 1.0 %", ".26",
        lambda: _acceptance(100_000, 0.25, 0.01)),
    Row("7 CFR 42.140, 'about 99 percent'", "n 500, c 3 at .10 %", ".9983",
        lambda: _acceptance(100_000, 0.25, 0.001)),
    *[
        Row("binomial sums", f"letter {letter} at its limit of {limit} %", printed,
            lambda n=lot, q=limit: _acceptance(n, q, q / 100))
        for letter, lot, limit, printed in [
            ("H", 400, 1, ".9106"), ("J", 900, 1, ".9534"), ("K", 3_000, 1, ".9626"),
            ("L", 5_000, 1, ".9840"), ("M", 20_000, 1, ".9850"), ("G", 200, 2.5, ".9548"),
            ("H", 400, 2.5, ".9638"), ("J", 900, 2.5, ".9848"), ("K", 3_000, 2.5, ".9864"),
            ("L", 5_000, 2.5, ".9874"),
        ]
    ],
]  # fmt: skip

DROPS = [
    *[
        Row(f"{procedure} free-fall heights", f"{kg} kg: mm", printed,
            lambda m=kg, p=procedure: _drop(m, p).height_mm)
        for procedure, heights in {
            DropProcedure.ISTA_1A: ("760", "610", "460", "310", "200"),
            DropProcedure.ISTA_2A: ("970", "810", "660", "510", "310"),
        }.items()
        for lowest, highest, printed in zip(
            (0.1, 10, 19, 28, 45), (9.99, 18.99, 27.99, 44.99, 67.99), heights, strict=True
        )
        for kg in (lowest, highest)
    ],
    *[
        Row("free fall, square root of 2 g h", f"{kg} kg: m/s", printed,
            lambda m=kg: _drop(m).speed_m_s)
        for kg, printed in [(5, "3.861"), (12, "3.459"), (20, "3.004"), (30, "2.466"),
                            (50, "1.981")]
    ],
    Row("free fall, g h", "1 kg from .76 m: J", "7.453", lambda: _drop(1).energy_j),
]  # fmt: skip

ROWS = (*QUEUES, *YIELDS, *SAMPLING, *DROPS)


if __name__ == "__main__":
    for row in ROWS:
        got = row.ours()
        said = "-" if got is None else f"{float(got):.7g}"
        print(  # noqa: T201
            f"{'agrees' if row.agrees else 'DIFFERS':8}{row.printed:>12} {said:>12}  "
            f"{row.case} ({row.source})"
        )
