"""Flows whose long run is known exactly, each with its source and how long to run it."""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, sqrt
from statistics import fmean

from stationflow.line.simulation.flow_model import (
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    Law,
    Stop,
    StopKind,
    unpaced_line,
)
from stationflow.line.simulation.flow_run import Window
from stationflow.line.simulation.simulated import Estimate
from stationflow.line.simulation.student import estimate
from tests.line.simulation.small_flows import (
    exponential,
    line_with_float,
    paced_line,
    queue,
    repair_loop,
    ring,
    windows,
    with_stops,
)

Measure = Callable[[Window], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """One value from outside."""

    name: str
    source: str
    model: FlowModel
    exact: float
    measure: Measure
    seconds: float = 20_000.0  # measured in each replication
    warm_up: float = 1_000.0

    def simulated(self, times: float = 1.0, seed: int = 1) -> Estimate:
        """Return what ten replications give, each so many times as long."""
        made = windows(self.model, self.seconds * times, self.warm_up, seed=seed)
        return estimate([self.measure(window) for window in made])


def output(window: Window) -> float:
    return window.of_main("good") / window.seconds


def present(window: Window) -> float:
    return window.of_main("area") / window.seconds


def time(window: Window) -> float:
    return window.of_main("time_good") / window.of_main("good")


def waiting(window: Window) -> float:
    return float(window.waiting[0])


def lost(window: Window) -> float:
    return window.of_main("lost") / (window.of_main("lost") + window.of_main("good"))


def of_station(station: int, column: str) -> Measure:
    """Return what a station did for each unit that its first station began."""
    if column == "done":
        return lambda w: float(w.done[station] / w.done[0])
    return lambda w: w.of_main("scrapped") / float(w.done[0])


HUNT = "Hunt (1956), Operations Research 4, 674-683"
HILLIER = "Hillier and Boling (1967), Operations Research 15, 286-303"
EQUAL_PLACES = {  # stations: output with 0, 1, 2 ... places between, exponential times of mean 1
    2: (2 / 3, 3 / 4, 4 / 5, 5 / 6, 6 / 7, 7 / 8, 8 / 9),
    3: (22 / 39, 8529 / 12721, 0.7340, 0.7767, 0.8075, 0.8308, 0.8490),
    4: (4024 / 7817, 0.6312, 0.7007, 0.7477, 0.7818, 0.8077, 0.8280),
    5: (0.485798, 0.6076, 0.6805, 0.7299),
    6: (0.466713, 0.5918, 0.6669),
    7: (0.453179,),
    8: (0.443070,),
}


def exponential_lines() -> list[Published]:
    return [
        Published(
            name=f"{stations} exponential stations, {places} places between",
            source=HILLIER if places else HUNT,
            model=unpaced_line((exponential(1),) * stations, places),
            exact=exact,
            measure=output,
        )
        for stations, row in EQUAL_PLACES.items()
        for places, exact in enumerate(row)
    ]


def unequal_stations() -> list[Published]:
    """Rates 1 and 2: m1 (1 - r^(b+2)) / (1 - r^(b+3)) with r = 1/2, the same turned round."""
    found = []
    for means in ((1.0, 0.5), (0.5, 1.0)):
        for places in (0, 1, 2, 5):
            exact = (1 - 0.5 ** (places + 2)) / (1 - 0.5 ** (places + 3))
            line = unpaced_line(tuple(exponential(m) for m in means), places)
            name = f"exponential stations of rates {1 / means[0]:g} and {1 / means[1]:g}"
            found.append(
                Published(
                    name=f"{name}, {places} places",
                    source="two stations in closed form, after Hillier and Boling (1967)",
                    model=line,
                    exact=exact,
                    measure=output,
                )
            )
    return found


def other_laws() -> list[Published]:
    """Two stations without places give 1 / E[max]; a line in common step gives 1 / E[max]."""
    uniform = Duration(mean_s=1, sd_s=1 / sqrt(3), law=Law.UNIFORM)
    found = [("uniform from 0 to 2, two stations", unpaced_line((uniform,) * 2), 0.75)]
    for cv in (0.1, 0.2, 0.3):
        normal = (Duration(mean_s=1, sd_s=cv),) * 2
        exact = 1 / (1 + cv / sqrt(pi))
        found.append((f"normal of cv {cv}, two stations", unpaced_line(normal), exact))
    for stations, longest in ((3, 0.84628), (5, 1.16296), (10, 1.53875), (20, 1.86748)):
        line = paced_line((Duration(mean_s=1, sd_s=0.1),) * stations)
        name = f"normal of cv 0.1, {stations} stations in common step"
        found.append((name, line, 1 / (1 + 0.1 * longest)))
    return [
        Published(name=name, source="1 / E[max of the times]", model=m, exact=e, measure=output)
        for name, m, e in found
    ]


def breakdowns() -> list[Published]:
    """20 stations without places: MTBF 500 s, MTTR 5 s, at a step a second."""
    line = paced_line((Duration(mean_s=1),) * 20, 1.0, halts=True)
    found = []
    for kind, exact in (
        (StopKind.OPERATION_DEPENDENT, 1 / (1 + 20 * 5 / 500)),
        (StopKind.TIME_DEPENDENT, (1 / 1.01) ** 20),
    ):
        found.append(
            Published(
                name=f"20 stations, {kind} stops",
                source="Buzacott (1967): 1/(1 + sum MTTR/MTBF), and the product of availabilities",
                model=with_stops(line, Stop(mtbf_s=500, mttr_s=5, kind=kind)),
                exact=exact,
                measure=output,
                seconds=100_000,
            )
        )
    return found


def queues() -> list[Published]:
    """Return queues, times in the unit of the source."""
    mm1, mm2 = queue(1 / 2, exponential(1 / 3)), queue(1 / 2, exponential(1 / 3), 2)
    md1 = queue(1 / 2, Duration(mean_s=1 / 3))
    heizer = "Heizer and Render, Operations Management, waiting lines"
    found = [
        ("M/M/1, 2 and 3: units there", heizer, mm1, 2.0, present),
        ("M/M/1, 2 and 3: units waiting", heizer, mm1, 4 / 3, waiting),
        ("M/M/1, 2 and 3: time there", heizer, mm1, 1.0, time),
        ("M/M/2, 2 and 3: units there", heizer, mm2, 0.75, present),
        ("M/M/2, 2 and 3: units waiting", heizer, mm2, 1 / 12, waiting),
        ("M/M/2, 2 and 3: time there", heizer, mm2, 0.375, time),
        (
            "M/M/2, 3 and 2: units waiting",
            "Erlang (1917)",
            queue(1 / 3, exponential(1 / 2), 2),
            27 / 14,
            waiting,
        ),
        ("M/D/1, 2 and 3: units waiting", "Pollaczek-Khinchin", md1, 2 / 3, waiting),
    ]
    for servers, load, waits in (
        (2, 1.0, 1 / 3),
        (3, 2.0, 8 / 9),
        (4, 3.0, 1.52830),
        (5, 4.0, 2.21645),
        (3, 2.5, 3.51124),
        (8, 6.0, 1.07094),
        (10, 8.0, 1.63672),
        (1, 0.5, 0.5),
        (10, 6.0, 1458 / 14393 * 6 / 4),
        (20, 18.0, 4.95692),
    ):
        model = queue(1 / load, exponential(1.0), servers)
        name = f"M/M/{servers}, load {load:g}: units waiting"
        found.append((name, "Erlang (1917)", model, waits, waiting))
    for room, share in ((1, 0.47368), (5, 0.12603), (10, 0.05081)):
        model = queue(1 / 0.9, exponential(1.0), room=room - 1)
        name = f"M/M/1 with room for {room}, load 0.9: lost"
        found.append((name, "M/M/1/K in closed form", model, share, lost))
    for servers, load, share in (
        (1, 0.5, 0.33333),
        (2, 1.0, 0.2),
        (3, 2.0, 0.21053),
        (4, 3.0, 0.20611),
        (5, 4.0, 0.19907),
        (10, 8.0, 0.12166),
    ):
        model = queue(1 / load, exponential(1.0), servers, room=0)
        name = f"M/M/{servers} without waiting, load {load:g}: lost"
        found.append((name, "Erlang (1917)", model, share, lost))
    found.append(
        (
            "M/M/1, 49 and 55: units waiting",
            "course sheet, Erlang (1917)",
            queue(55 / 49, exponential(1.0)),
            7.2758,
            waiting,
        )
    )
    for benches, wait, there in ((2, 15.09, 3.37), (3, 1.86, 1.725), (4, 0.35, 1.536)):
        model = queue(60 / 7.4636, exponential(12.0), benches)
        told = f"7.4636 repairs/h of 12 min at {benches} benches"
        found += [
            (f"{told}: minutes there", "Erlang (1917)", model, wait + 12, time),
            (f"{told}: units there", "Erlang (1917)", model, there, present),
        ]
    machines = ring(
        (FlowStation(work=exponential(10), servers=5), FlowStation(work=exponential(1))), 5
    )
    shop = "machine-repair model (Palm, 1947)"
    found += [
        (
            "5 machines, 1 repairer: running",
            shop,
            machines,
            4.36048,
            lambda w: w.spent[1, 0] / w.seconds,
        ),
        ("5 machines, 1 repairer: waiting", shop, machines, 0.20347, lambda w: float(w.waiting[1])),
    ]
    return [
        Published(name=n, source=s, model=m, exact=e, measure=f, seconds=30_000)
        for n, s, m, e, f in found
    ]


def repair_loops() -> list[Published]:
    """Visits r = (1-y1) / (1 - (1-y2)(1-s)), tests 1 + r(1-s), scrap r s."""
    found = []
    for first, repeat, scrap in ((0.92, 0.85, 0.05), (0.95, 0.95, 0.0)):
        model = repair_loop(first, repeat, scrap)
        visits = (1 - first) / (1 - (1 - repeat) * (1 - scrap))
        told = f"repair loop {first}, {repeat}, {scrap}"
        rows = [
            (f"{told}: repairs", visits, of_station(2, "done")),
            (f"{told}: tests", 1 + visits * (1 - scrap), of_station(1, "done")),
        ]
        if scrap:
            rows.append((f"{told}: scrapped", visits * scrap, of_station(2, "scrapped")))
        found += [
            Published(
                name=name, source="balance of visits", model=model, exact=exact, measure=measure
            )
            for name, exact, measure in rows
        ]
    return found


def factory_physics() -> list[Published]:
    """Return the first penny line: four stations of 2 h, 1 to 12 units."""
    source = "Hopp and Spearman, Factory Physics"
    stations = (FlowStation(work=exponential(2.0)),) * 4
    steady = (FlowStation(work=Duration(mean_s=2.0)),) * 4
    best = [
        Published(
            name=f"penny line without scatter, {units} units: {what}",
            source=source,
            model=ring(steady, units),
            exact=exact,
            measure=measure,
        )
        for units in (1, 2, 4, 8)
        for what, exact, measure in (
            ("output an hour", min(units / 8, 0.5), output),
            ("hours in the line", max(8.0, units / 0.5), time),
        )
    ]
    return best + [
        Published(
            name=f"penny line, {units} units: {what}",
            source=source,
            model=ring(stations, units),
            exact=exact,
            measure=measure,
        )
        for units, rate in ((1, 0.125), (2, 0.2), (4, 2 / 7), (8, 4 / 11), (12, 0.4))
        for what, exact, measure in (
            ("output an hour", rate, output),
            ("hours in the line", 8 + (units - 1) / 0.5, time),
        )
    ]


def soaks() -> list[Published]:
    """Little (1961): units in soak = time / pace."""
    found = []
    for hours, pace in ((2, 45), (4, 30), (1, 60)):
        start = FlowStation(work=Duration(mean_s=pace), number=1, to=0)
        soak = FlowStation(
            work=Duration(mean_s=3600 * hours),
            name="soak",
            input=0,
            servers=3600 * hours // pace + 4,
        )
        model = FlowModel(stations=(start, soak), buffers=(FlowBuffer(places=1),))
        found.append(
            Published(
                name=f"soak of {hours} h at {pace} s: units in it",
                source="Little (1961)",
                model=model,
                exact=3600 * hours / pace,
                measure=lambda w: w.spent[1, 0] / w.seconds,
                seconds=36_000,
                warm_up=18_000,
            )
        )
    return found


FLOATS = ((0.0, 6.0), (0.01, 3.3), (0.02, 2.3), (0.05, 1.2))
"""Units waiting for an empty place by the share of places left empty; simulated, not exact."""


def floats() -> list[Published]:
    """8 % fail and are away for 200 steps on the mean, 5 % of them are scrapped."""
    return [
        Published(
            name=f"waiting for a place, {share:.0%} of the places empty".replace("%", " %"),
            source="another simulation of the same line",
            model=line_with_float(0.08, 0.05, share),
            exact=mean,
            measure=lambda w: float(w.waiting[1]),
            seconds=100_000,
            warm_up=5_000,
        )
        for share, mean in FLOATS
    ]


EXACT = (
    *exponential_lines(),
    *unequal_stations(),
    *other_laws(),
    *breakdowns(),
    *queues(),
    *repair_loops(),
    *factory_physics(),
    *soaks(),
)


GAMMA_LINES = {  # cv: output with 0, 1, 3, 5 places, for 5, 10 and 20 stations of gamma times
    0.1: ((0.910, 0.985, 0.995, 0.997), (0.896, 0.983, 0.994, 0.996), (0.888, 0.981, 0.993, 0.996)),
    0.3: ((0.766, 0.903, 0.957, 0.973), (0.733, 0.888, 0.950, 0.968), (0.715, 0.880, 0.945, 0.964)),
    0.5: ((0.658, 0.807, 0.899, 0.932), (0.614, 0.777, 0.882, 0.920), (0.591, 0.761, 0.872, 0.912)),
}
"""Another simulation, of 60,000 units each, to 0.003."""


def gamma_lines() -> list[Published]:
    return [
        Published(
            name=f"{stations} gamma stations of cv {cv}, {places} places between",
            source="another simulation of the same line",
            model=unpaced_line((Duration(mean_s=1, sd_s=cv, law=Law.GAMMA),) * stations, places),
            exact=exact,
            measure=output,
            seconds=200_000 / stations,
        )
        for cv, rows in GAMMA_LINES.items()
        for stations, row in zip((5, 10, 20), rows, strict=True)
        for places, exact in zip((0, 1, 3, 5), row, strict=True)
    ]


def table(times: float = 1.0) -> str:
    """Return all rows as text: exact, simulated with 95 % limits, whether it lies within."""
    rows, within = [], []
    for row in EXACT:
        found = row.simulated(times)
        assert found.low is not None
        assert found.high is not None
        slack = 1e-9 * abs(row.exact)
        is_within = found.low - slack <= row.exact <= found.high + slack
        within.append(is_within)
        rows.append(
            f"{row.name:62} {row.exact:10.5f} {found.mean:10.5f} "
            f"{found.low:10.5f} {found.high:10.5f} {'' if is_within else 'outside'}"
        )
    return "\n".join((*rows, f"within the 95 % limits: {fmean(within):.1%}"))
