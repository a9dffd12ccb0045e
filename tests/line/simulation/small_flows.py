"""Small flows for the tests, and runs of them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stationflow.line.simulation import flow_kernel
from stationflow.line.simulation.flow_arrays import Tables, flow_tables
from stationflow.line.simulation.flow_model import (
    GOOD,
    Carriers,
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    Gate,
    Law,
    Need,
    PacedLine,
    Stop,
    gate_of_test,
)
from stationflow.line.simulation.flow_run import FlowRun, Window
from stationflow.line.simulation.simulated import Estimate
from stationflow.line.simulation.student import estimate, student


def exponential(mean_s: float) -> Duration:
    return Duration(mean_s=mean_s, law=Law.EXPONENTIAL)


def paced_line(
    works: tuple[Duration, ...], pace_s: float = 0.0, line: str = "main", *, halts: bool = False
) -> FlowModel:
    """Return a line whose units all step together."""
    stations = tuple(FlowStation(work=w, line=line, number=k) for k, w in enumerate(works, 1))
    paced = PacedLine(first=0, last=len(works) - 1, pace_s=pace_s, halts=halts)
    return FlowModel(stations=stations, paced=(paced,), main=line)


def queue(between_s: float, service: Duration, servers: int = 1, room: int | None = None):
    """Units that come one by one at random to servers, with room for so many to wait."""
    arrivals = FlowStation(
        work=exponential(between_s), to=0, arrivals=True, lost_when_full=room is not None
    )
    served = FlowStation(work=service, number=1, input=0, servers=servers)
    return FlowModel(stations=(arrivals, served), buffers=(FlowBuffer(places=room, name="queue"),))


def ring(stations: Sequence[FlowStation], units: int) -> FlowModel:
    """Stations one behind another and so many units: one comes in, at once, when one leaves."""
    entry = FlowStation(work=Duration(mean_s=0), to=0, servers=units, takes_carrier=0)
    last = len(stations) - 1
    linked = tuple(
        replace(station, number=k + 1, input=k, to=k + 1 if k < last else GOOD)
        for k, station in enumerate(stations)
    )
    return FlowModel(
        stations=(entry, *linked),
        buffers=(FlowBuffer(),) * (last + 1),
        carriers=(Carriers(count=units),),
    )


def repair_loop(first: float, repeat: float, scrap: float, pace_s: float = 1.0) -> FlowModel:
    """Return a test of three testers, a bench of three, and back to the test."""
    test = FlowStation(
        work=Duration(mean_s=2.0 * pace_s),
        number=2,
        servers=3,
        input=0,
        returns=2,
        gate=gate_of_test(first, repeat, reject_to=1),
    )
    bench = FlowStation(
        work=exponential(3.0 * pace_s),
        name="bench",
        servers=3,
        input=1,
        to=2,
        gate=gate_of_test(1 - scrap),
    )
    first_station = FlowStation(work=Duration(mean_s=pace_s), number=1, to=0)
    buffers = (FlowBuffer(), FlowBuffer(name="bench"), FlowBuffer(name="returns"))
    return FlowModel(stations=(first_station, test, bench), buffers=buffers)


def line_with_float(
    fails: float, scrap: float, empty_share: float, delay_s: float = 200.0
) -> FlowModel:
    """Return a paced line of a test and the place after it, where repaired units come back.

    A bench of many repairs each unit in a random time. Places are left empty at random: a unit is
    taken out at the first.
    """
    first = FlowStation(work=Duration(mean_s=0.5), gate=gate_of_test(1 - empty_share))
    test = FlowStation(
        work=Duration(mean_s=0.5), number=1, gate=gate_of_test(1 - fails, reject_to=0)
    )
    after = FlowStation(work=Duration(mean_s=0.5), number=2, returns=1)
    bench = FlowStation(
        work=exponential(delay_s),
        name="bench",
        servers=400,
        input=0,
        to=1,
        gate=gate_of_test(1 - scrap),
    )
    return FlowModel(
        stations=(first, test, after, bench),
        buffers=(FlowBuffer(name="bench"), FlowBuffer(name="returns")),
        paced=(PacedLine(first=0, last=2, pace_s=1.0),),
    )


def joined_line() -> FlowModel:
    """Two stations with a feeder of two that joins at the second, then a test with a bench."""
    work = [Duration(mean_s=m, sd_s=0.3 * m, law=Law.GAMMA) for m in (50, 55, 48, 30, 33, 90)]
    stations = (
        FlowStation(work=work[0], number=1, to=0),
        FlowStation(work=work[1], number=2, input=0, to=1, needs=(Need(buffer=3, quantity=1.5),)),
        FlowStation(
            work=work[2], number=3, input=1, returns=5, gate=gate_of_test(0.8, 0.6, reject_to=4)
        ),
        FlowStation(work=work[3], line="feeder", number=1, to=2),
        FlowStation(work=work[4], line="feeder", number=2, input=2, to=3),
        FlowStation(
            work=work[5],
            name="bench",
            input=4,
            to=5,
            gate=Gate(pass_share=0.9, repeat_pass=0.9, reject_share=0.1, repeat_reject=0.1),
        ),
    )
    places = (2, 3, 1, 2, None, None)
    return FlowModel(stations=stations, buffers=tuple(FlowBuffer(places=p) for p in places))


def with_stops(model: FlowModel, *stops: Stop) -> FlowModel:
    return replace(model, stations=tuple(replace(s, stops=stops) for s in model.stations))


def windows(
    model: FlowModel, seconds: float, warm_up: float = 0.0, runs: int = 10, seed: int = 1
) -> list[Window]:
    """Return what each replication summed up after its warm-up."""
    made = []
    for replication in range(runs):
        run = FlowRun(model, seed, replication)
        assert run.run([warm_up, warm_up + seconds])
        made.append(Window(run, 0, 1))
    return made


def rate(model: FlowModel, seconds: float, warm_up: float = 1000.0, seed: int = 1) -> Estimate:
    """Return the good units a second."""
    made = windows(model, seconds, warm_up, seed=seed)
    return estimate([w.of_main("good") / w.seconds for w in made])


def is_near(found: Estimate, exact: float, runs: int = 10) -> bool:
    """Whether an exact value lies within the 99.9 % limits; those of 95 % miss one in twenty."""
    assert found.low is not None
    half = (found.mean - found.low) * student(0.999, runs - 1) / student(0.95, runs - 1)
    return abs(found.mean - exact) <= max(half, 1e-9 * abs(exact))


def plain_tables(model: FlowModel, seed: int = 1, trace: int = 0) -> Tables:
    """Return tables whose rows the plain functions can read as the compiled ones do."""
    return Tables(
        *(t.view(np.recarray) if t.dtype.names else t for t in flow_tables(model, seed, 0, trace))
    )


def drawn_times(model: FlowModel, station: int, count: int, seed: int = 1) -> list[float]:
    """Return the work times of a station in the order it begins its units."""
    tables = plain_tables(model, seed)
    with np.errstate(over="ignore"):
        return [float(flow_kernel.work_time(tables, station)) for _ in range(count)]


def drawn_judgements(model: FlowModel, station: int, count: int, seed: int = 1) -> list[float]:
    """Return the numbers from 0 to 1 by which a station judges its units."""
    tables = plain_tables(model, seed)
    stream = flow_kernel.STREAMS * station + flow_kernel.GATE_STREAM
    with np.errstate(over="ignore"):
        return [float(flow_kernel.uniform(tables, stream)) for _ in range(count)]


def run_plain(model: FlowModel, until: float, seed: int = 1) -> Tables:
    """Run the functions as they stand, not compiled."""
    tables = plain_tables(model, seed)
    with np.errstate(over="ignore"):
        flow_kernel.open_flow(tables)
        flow_kernel.run_to(tables, until, 1 << 40)
        flow_kernel.count_up_to(tables, until)
    return tables


def with_servers(model: FlowModel, servers: Sequence[int]) -> FlowModel:
    stations = (
        replace(station, servers=count)
        for station, count in zip(model.stations, servers, strict=True)
    )
    return replace(model, stations=tuple(stations))
