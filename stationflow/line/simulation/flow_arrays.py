"""The tables that the compiled loop works on, and a model laid out in them."""

from typing import Any, NamedTuple
from zlib import crc32

import numpy as np
import numpy.typing as npt

from stationflow.line.simulation.flow_kernel import (
    CONSTANT,
    EXPONENTIAL,
    GAMMA,
    LOGNORMAL,
    NORMAL,
    STARVED,
    STATES,
    STREAMS,
    UNIFORM,
)
from stationflow.line.simulation.flow_model import (
    NONE,
    Duration,
    FlowModel,
    FlowStation,
    Law,
    StopKind,
)

ENDLESS = 1 << 60


def _record(numbers: str, counts: str) -> np.dtype[Any]:
    """Return a row of floats and of whole numbers."""
    return np.dtype([(n, "f8") for n in numbers.split()] + [(n, "i8") for n in counts.split()])


WORLD = _record(
    "now", "heap seq events todo free_unit free_units traced margin heap_margin is_open ended"
)
EVENT = _record("t", "seq what stamp")
STATION = _record(
    "mean_s first second part_share part_s pass0 pass1 reject0 reject1",
    "law is_zero line servers first_server input to returns needs_from needs_to has_gate reject_to"
    " rest_to stops batch arrivals lost most takes gives paced free wait_head wait_tail queued"
    " given starts done rejects slot",
)
SERVER = _record(
    "since remaining run_since",
    "station slot unit held shown under running stamp down cause to passed next stop0 queued",
)
STOP = _record("mtbf mttr clock", "server in_work up_stream down_stream")
NEED = _record("quantity credit", "buffer")
BUFFER = _record(
    "area since",
    "places head tail level most blocked_head blocked_tail blocked_units from_ to_ queued",
)
UNIT = _record("start", "next line gate carrier number present")
PACED = _record(
    "pace due halt_since empty_share empty_credit",
    "first last first_server last_server halts pending halted stamp blocked sleeping queued",
)
LINE = _record("area since time_good time_gone", "present created good scrapped consumed lost")
CARRIER = _record("return_s", "level")
TRACED = _record("t", "station unit what")


class Tables(NamedTuple):
    """What the compiled loop reads and writes."""

    world: npt.NDArray[Any]  # one row
    heap: npt.NDArray[Any]
    stations: npt.NDArray[Any]
    servers: npt.NDArray[Any]
    stops: npt.NDArray[Any]
    needs: npt.NDArray[Any]
    buffers: npt.NDArray[Any]
    takers: npt.NDArray[np.int64]  # stations that take from each buffer, one buffer after the other
    units: npt.NDArray[Any]
    paced: npt.NDArray[Any]
    lines: npt.NDArray[Any]
    carriers: npt.NDArray[Any]
    spent: npt.NDArray[np.float64]  # seconds of each station in each state, all its servers
    todo: npt.NDArray[np.int64]
    streams: npt.NDArray[np.uint64]
    trace: npt.NDArray[Any]


def flow_tables(model: FlowModel, seed: int, replication: int, trace: int = 0) -> Tables:
    """Return the tables of a model before its first event."""
    stations = np.zeros(len(model.stations), STATION)
    needs: list[tuple[float, float, int]] = []
    line_of = {line: i for i, line in enumerate(model.lines)}
    for row, station in zip(stations, model.stations, strict=True):
        _fill_station(row, station)
        row["line"] = line_of[station.line]
        row["needs_from"] = len(needs)
        needs += [(need.quantity, 0.0, need.buffer) for need in station.needs]
        row["needs_to"] = len(needs)
    stations["first_server"] = np.cumsum(stations["servers"]) - stations["servers"]
    stations["paced"] = NONE
    for g, line in enumerate(model.paced):
        stations["paced"][line.first : line.last + 1] = g
    servers = np.zeros(int(stations["servers"].sum()), SERVER)
    servers["station"] = np.repeat(np.arange(len(stations)), stations["servers"])
    servers["slot"] = np.arange(len(servers)) - stations["first_server"][servers["station"]]
    servers["unit"] = servers["next"] = servers["cause"] = -1
    servers["shown"] = servers["under"] = STARVED
    keys = _keys(model, seed, replication)
    streams = [_mixed(keys + np.uint64(i)) for i in range(STREAMS)]
    stops, stop_streams = _stops(model, servers, keys)
    buffers, takers = _buffers(model)
    batch = int((stations["servers"] * stations["batch"]).sum())
    tables = Tables(
        world=np.zeros(1, WORLD),
        heap=np.zeros(8 * (len(servers) + len(stops) + 64), EVENT),
        stations=stations,
        servers=servers,
        stops=stops,
        needs=np.array(needs, NEED),
        buffers=buffers,
        takers=takers,
        units=np.zeros(4 * batch + 256, UNIT),
        paced=_paced(model, stations),
        lines=np.zeros(len(line_of), LINE),
        carriers=np.array([(c.return_s, c.count) for c in model.carriers], CARRIER),
        spent=np.zeros((len(stations), STATES)),
        todo=np.zeros(
            len(stations) + len(buffers) + len(model.paced) + 2 * len(servers) + 1, np.int64
        ),
        streams=np.concatenate([np.stack(streams, axis=1).ravel(), stop_streams]),
        trace=np.zeros(trace, TRACED),
    )
    world = tables.world
    world["margin"] = batch + 8
    world["heap_margin"] = 2 * len(servers) + len(stops) + len(model.paced) + 16
    world["free_unit"] = world["ended"] = -1
    link_units(tables, 0)
    return tables


def link_units(tables: Tables, first: int) -> None:
    """Put the units from a position on into the chain of free ones."""
    units, world = tables.units, tables.world
    units["next"][first:] = np.arange(first + 1, len(units) + 1)
    units["next"][-1] = world["free_unit"][0]
    world["free_unit"] = first
    world["free_units"] += len(units) - first


def grown(tables: Tables) -> Tables:
    """Return the tables with room for more units and events."""
    old = len(tables.units)
    units = np.concatenate([tables.units, np.zeros(3 * old, UNIT)])
    heap = np.concatenate([tables.heap, np.zeros(len(tables.heap), EVENT)])
    larger = tables._replace(units=units, heap=heap)
    link_units(larger, old)
    return larger


def _fill_station(row: Any, station: FlowStation) -> None:
    law, first, second = _law(station.work)
    row["law"], row["mean_s"], row["first"], row["second"] = law, station.work.mean_s, first, second
    row["is_zero"] = station.work.mean_s == 0
    row["servers"], row["input"], row["to"] = station.servers, station.input, station.to
    row["returns"], row["batch"], row["stops"] = station.returns, station.batch, len(station.stops)
    row["part_share"], row["part_s"] = station.shortage_share, station.shortage_s
    row["arrivals"], row["lost"] = station.arrivals, station.lost_when_full
    row["most"] = ENDLESS if station.most is None else station.most
    row["takes"], row["gives"] = station.takes_carrier, station.gives_carrier
    row["free"] = row["wait_head"] = row["wait_tail"] = -1
    if station.gate is not None:
        gate = station.gate
        row["has_gate"] = 1
        row["pass0"], row["pass1"] = gate.pass_share, gate.repeat_pass
        row["reject0"] = gate.pass_share + gate.reject_share
        row["reject1"] = gate.repeat_pass + gate.repeat_reject
        row["reject_to"], row["rest_to"] = gate.reject_to, gate.rest_to


def _law(time: Duration) -> tuple[int, float, float]:
    """Return the law with the two numbers its draws take."""
    mean, sd = time.mean_s, time.sd_s
    if time.law == Law.EXPONENTIAL:
        return (EXPONENTIAL, mean, 0.0) if mean else (CONSTANT, 0.0, 0.0)
    if time.law == Law.CONSTANT or not sd or not mean:
        return CONSTANT, mean, 0.0
    if time.law == Law.UNIFORM:  # from mean - sd sqrt(3) to mean + sd sqrt(3)
        return UNIFORM, mean - sd * 3**0.5, 2 * sd * 3**0.5
    if time.law == Law.GAMMA:  # shape and scale
        return GAMMA, (mean / sd) ** 2, sd**2 / mean
    if time.law == Law.LOGNORMAL:  # mean and standard deviation of the logarithm
        variance = float(np.log1p((sd / mean) ** 2))
        return LOGNORMAL, float(np.log(mean)) - variance / 2, variance**0.5
    return NORMAL, mean, sd


def _stops(
    model: FlowModel, servers: npt.NDArray[Any], keys: npt.NDArray[np.uint64]
) -> tuple[npt.NDArray[Any], npt.NDArray[np.uint64]]:
    """Return one row for each server and cause, and the two streams of each."""
    rows: list[tuple[float, float, float, int, bool, int, int]] = []
    streams: list[np.uint64] = []
    first_stream = STREAMS * len(model.stations)
    for v, server in enumerate(servers):
        server["stop0"] = len(rows)
        k = int(server["station"])
        for cause, stop in enumerate(model.stations[k].stops):
            at = first_stream + len(streams)
            in_work = stop.kind == StopKind.OPERATION_DEPENDENT
            rows.append((stop.mtbf_s, stop.mttr_s, 0.0, v, in_work, at, at + 1))
            purpose = np.uint64(16 + 2 * cause + 64 * int(server["slot"]))
            streams += [keys[k] + purpose, keys[k] + purpose + np.uint64(1)]
    return np.array(rows, STOP), _mixed(np.array(streams, np.uint64))


def _buffers(model: FlowModel) -> tuple[npt.NDArray[Any], npt.NDArray[np.int64]]:
    buffers = np.zeros(len(model.buffers), BUFFER)
    buffers["places"] = [ENDLESS if b.places is None else b.places for b in model.buffers]
    for name in ("head", "tail", "blocked_head", "blocked_tail"):
        buffers[name] = -1
    takers: list[int] = []
    for b, row in enumerate(buffers):
        row["from_"] = len(takers)
        for k, station in enumerate(model.stations):
            if b in (station.input, station.returns, *(n.buffer for n in station.needs)):
                takers.append(k)
        row["to_"] = len(takers)
    return buffers, np.array(takers, np.int64)


def _paced(model: FlowModel, stations: npt.NDArray[Any]) -> npt.NDArray[Any]:
    paced = np.zeros(len(model.paced), PACED)
    for row, line in zip(paced, model.paced, strict=True):
        row["first"], row["last"], row["halts"] = line.first, line.last, line.halts
        row["pace"], row["empty_share"] = line.pace_s, line.empty_share
        row["first_server"] = stations["first_server"][line.first]
        row["last_server"] = (
            stations["first_server"][line.last] + stations["servers"][line.last] - 1
        )
    return paced


def _keys(model: FlowModel, seed: int, replication: int) -> npt.NDArray[np.uint64]:
    """Return a number for each station that its name, the seed and the replication decide."""
    names = [f"{s.line}/{s.number}/{s.name}" for s in model.stations]
    names = [f"{name}/{names[:i].count(name)}" for i, name in enumerate(names)]
    keys = np.array([crc32(name.encode()) for name in names], np.uint64)
    start = _mixed(np.array([seed % (1 << 63)], np.uint64))
    return _mixed(keys ^ _mixed(start + np.uint64(replication)))


def _mixed(keys: npt.NDArray[np.uint64]) -> npt.NDArray[np.uint64]:
    """Return the keys mixed, as the generator of `flow_kernel.next_bits` mixes its counter."""
    z = keys + np.uint64(0x9E3779B97F4A7C15)
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed: npt.NDArray[np.uint64] = z ^ (z >> np.uint64(31))
    return mixed
