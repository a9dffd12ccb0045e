"""The loop over the events of a flow: plain functions that `flow_compiled.py` compiles.

Next-event simulation with one heap. A server is one place of a station. A change makes others
possible (room, a unit, a free server); what is to be looked at again stands in `todo` and is
looked at before the clock goes on. So no function calls itself, and the long ones are called from
one place each, where they are compiled into the loop.
"""

# mypy: disable-error-code="no-any-return"
# A field of a row of a table has no type that mypy knows.

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from stationflow.line.simulation.flow_model import GOOD, NONE, SCRAP

if TYPE_CHECKING:
    from stationflow.line.simulation.flow_arrays import Tables

WORKED, STOPPED, BLOCKED, STEP, STARVED, FEEDER, PART = range(7)
"""What a server does; `STEP`: done, waits for the common step; `FEEDER`, `PART`: lacks one."""
STATES = 7
CONSTANT, EXPONENTIAL, UNIFORM, NORMAL, GAMMA, LOGNORMAL = range(6)
DUE_STATION, DUE_BUFFER, DUE_PACED, DUE_SERVER, DUE_FINISH = range(5)

# Streams of random numbers of one station, so that plans can be compared on the same numbers:
# its n-th work time stays the same whatever happens elsewhere.
WORK_STREAM, GATE_STREAM, PART_STREAM = range(3)
STREAMS = 3

FINISH, STOP, RUN, DOWN, UP, STEP_EVENT, PART_COMES, CARRIER_COMES = range(8)
"""Kinds of events."""
ENTERS, STARTS, ENDS, WAITS, LEAVES, STOPS, RUNS, LACKS_PART, FAILS, SCRAPPED, DONE, USED, LOST = (
    range(13)
)
"""What is traced."""
AT_END, NEEDS_ROOM, MANY_EVENTS = range(3)
"""Why `run_to` returns."""
USED_UP, TURNED_AWAY = -4, -5
"""Where units leave to, beside good and scrap."""

GAMMA_STEP = np.uint64(0x9E3779B97F4A7C15)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
U11, U27, U30, U31 = np.uint64(11), np.uint64(27), np.uint64(30), np.uint64(31)
KIND_BITS = 40  # an entry of `todo` and of the heap is its kind, and then the position in so many
POSITION = (1 << KIND_BITS) - 1

LAYERS = 128
LAYER_BITS = np.uint64(LAYERS - 1)
TAIL, AREA = 3.442619855899, 9.91256303526217e-3  # last edge, area of a layer (Doornik)


def _edges() -> npt.NDArray[np.float64]:
    """Return the edges of the layers of the normal density, the widest first."""
    height = np.exp(-0.5 * TAIL**2)
    edges = [AREA / height, TAIL]
    for _ in range(2, LAYERS):
        edges.append(np.sqrt(-2.0 * np.log(AREA / edges[-1] + height)))
        height = np.exp(-0.5 * edges[-1] ** 2)
    return np.array([*edges, 0.0])


EDGES = _edges()
INSIDE = EDGES[1:] / EDGES[:-1]


# Random numbers: Steele, Lea and Flood (2014), "Fast splittable pseudorandom number generators",
# OOPSLA; a counter for each stream, mixed.
def next_bits(f: Tables, stream: int) -> np.uint64:
    """Return 64 random bits."""
    z = f.streams[stream] + GAMMA_STEP
    f.streams[stream] = z
    z = (z ^ (z >> U30)) * MIX_1
    z = (z ^ (z >> U27)) * MIX_2
    return z ^ (z >> U31)


def uniform(f: Tables, stream: int) -> float:
    """Return a number between 0 and 1, both left out."""
    return (np.float64(next_bits(f, stream) >> U11) + 0.5) * 2.0**-53


def exponential(f: Tables, stream: int, mean: float) -> float:
    """Return an exponential time."""
    return -mean * np.log(uniform(f, stream))


def normal(f: Tables, stream: int) -> float:
    """Return a standard normal number.

    Doornik (2005), "An improved ziggurat method to generate normal random samples": 128 layers of
    one area; a number well inside its layer, as most are, is taken at once.
    """
    while True:
        bits = next_bits(f, stream)
        u = 2.0 * ((np.float64(bits >> U11) + 0.5) * 2.0**-53) - 1.0
        i = np.int64(bits & LAYER_BITS)
        if abs(u) < INSIDE[i]:
            return u * EDGES[i]
        if i == 0:  # beyond the last edge
            while True:
                x = np.log(uniform(f, stream)) / TAIL
                if -2.0 * np.log(uniform(f, stream)) >= x * x:
                    return x - TAIL if u < 0.0 else TAIL - x
        x = u * EDGES[i]
        upper = np.exp(-0.5 * (EDGES[i] ** 2 - x * x))
        lower = np.exp(-0.5 * (EDGES[i + 1] ** 2 - x * x))
        if lower + uniform(f, stream) * (upper - lower) < 1.0:
            return x


def gamma(f: Tables, stream: int, shape: float) -> float:
    """Marsaglia and Tsang (2000), ACM Transactions on Mathematical Software 26, 363-372."""
    boost = 1.0
    if shape < 1.0:
        boost = uniform(f, stream) ** (1.0 / shape)
        shape += 1.0
    d = shape - 1.0 / 3.0
    c = 1.0 / np.sqrt(9.0 * d)
    while True:
        x = normal(f, stream)
        v = (1.0 + c * x) ** 3
        if v > 0.0:
            u = uniform(f, stream)
            if u < 1.0 - 0.0331 * x**4:  # most are taken here
                return d * v * boost
            if np.log(u) < 0.5 * x * x + d - d * v + d * np.log(v):
                return d * v * boost


def work_time(f: Tables, k: int) -> float:
    """Return the next work time of a station."""
    station = f.stations[k]
    law = station.law
    stream = STREAMS * k + WORK_STREAM
    if law == EXPONENTIAL:
        return exponential(f, stream, station.mean_s)
    if law == NORMAL:
        while True:
            x = station.first + station.second * normal(f, stream)
            if x >= 0.0:
                return x
    if law == GAMMA:
        return station.second * gamma(f, stream, station.first)
    if law == UNIFORM:
        return station.first + station.second * uniform(f, stream)
    if law == LOGNORMAL:
        return np.exp(station.first + station.second * normal(f, stream))
    return station.mean_s


# The heap of events, the earliest first; of equal times the one that was entered first.
def push(f: Tables, t: float, what: int, index: int, stamp: int) -> None:
    """Put an event into the heap."""
    world, heap = f.world[0], f.heap
    i = world.heap
    world.heap = i + 1
    world.seq += 1
    while i > 0:
        up = (i - 1) >> 1
        if heap[up].t <= t:
            break
        move_event(f, up, i)
        i = up
    event = heap[i]
    event.t, event.seq, event.stamp = t, world.seq, stamp
    event.what = (what << KIND_BITS) | index


def move_event(f: Tables, source: int, target: int) -> None:
    """Copy an event to another row."""
    a, b = f.heap[source], f.heap[target]
    b.t, b.seq, b.what, b.stamp = a.t, a.seq, a.what, a.stamp


def drop_first(f: Tables) -> None:
    """Take the earliest event out."""
    world, heap = f.world[0], f.heap
    n = world.heap - 1
    world.heap = n
    if n == 0:
        return
    last_t, last_seq = heap[n].t, heap[n].seq
    i = 0
    while True:
        child = 2 * i + 1
        if child >= n:
            break
        other = child + 1
        if other < n and (
            heap[other].t < heap[child].t
            or (heap[other].t == heap[child].t and heap[other].seq < heap[child].seq)
        ):
            child = other
        if last_t < heap[child].t or (last_t == heap[child].t and last_seq < heap[child].seq):
            break
        move_event(f, child, i)
        i = child
    move_event(f, n, i)


# What is to be looked at again.
def to_do(f: Tables, kind: int, i: int) -> None:
    """Note what is to be done: its kind, and the position of what it is done to."""
    f.todo[f.world[0].todo] = (kind << KIND_BITS) | i
    f.world[0].todo += 1


def look_at_station(f: Tables, k: int) -> None:
    """Have a station looked at again."""
    station = f.stations[k]
    if not station.queued:
        station.queued = 1
        to_do(f, DUE_STATION, k)


def look_at_buffer(f: Tables, b: int) -> None:
    """Have a buffer looked at again."""
    buffer = f.buffers[b]
    if not buffer.queued:
        buffer.queued = 1
        to_do(f, DUE_BUFFER, b)


def look_at_paced(f: Tables, g: int) -> None:
    """Have a paced line looked at again."""
    line = f.paced[g]
    if not line.queued:
        line.queued = 1
        to_do(f, DUE_PACED, g)


def look_at_server(f: Tables, v: int) -> None:
    """Have a server begin, or go on."""
    server = f.servers[v]
    if not server.queued:
        server.queued = 1
        to_do(f, DUE_SERVER, v)


def call_finish(f: Tables, v: int) -> None:
    """Have a server end its work."""
    to_do(f, DUE_FINISH, v)


def look_at_takers(f: Tables, b: int) -> None:
    """Have the stations looked at that take from a buffer."""
    buffer = f.buffers[b]
    for i in range(buffer.from_, buffer.to_):
        k = f.takers[i]
        station = f.stations[k]
        if station.free >= 0 or station.wait_head >= 0:
            look_at_station(f, k)
        elif station.paced >= 0 and f.paced[station.paced].sleeping:
            look_at_paced(f, station.paced)


def tell(f: Tables, t: float, k: int, u: int, what: int) -> None:
    """Write an event down while there is room for it."""
    world = f.world[0]
    if world.traced < len(f.trace):
        row = f.trace[world.traced]
        row.t, row.station, row.what = t, k, what
        row.unit = u
        world.traced += 1


def show(f: Tables, v: int, t: float) -> None:
    """Count the time of a server's state when it changes. A stop hides all other states."""
    server = f.servers[v]
    shown = server.under
    if server.down > 0 or (shown == WORKED and not server.running):
        shown = STOPPED
    if shown != server.shown:
        f.spent[server.station, server.shown] += t - server.since
        server.since = t
        server.shown = shown


# Units.
def new_unit(f: Tables, k: int, t: float) -> int:
    """Let a unit come from outside."""
    world, station = f.world[0], f.stations[k]
    u = world.free_unit
    unit = f.units[u]
    world.free_unit = unit.next
    world.free_units -= 1
    station.given += 1
    line = f.lines[station.line]
    count_present(f, station.line, t, 1)
    line.created += 1
    unit.start, unit.next, unit.line, unit.gate = t, -1, station.line, -1
    unit.carrier, unit.number, unit.present = NONE, line.created, 1
    return u


def count_present(f: Tables, c: int, t: float, change: int) -> None:
    """Count the units of a line over time, and change their number."""
    line = f.lines[c]
    line.area += line.present * (t - line.since)
    line.since = t
    line.present += change


def unit_leaves(f: Tables, k: int, u: int, t: float, to: int) -> None:
    """Take a unit out of the flow: good, scrapped, used in another, or turned away."""
    unit = f.units[u]
    line = f.lines[unit.line]
    count_present(f, unit.line, t, -1)
    line.time_gone += t - unit.start
    if to == GOOD:
        line.good += 1
        line.time_good += t - unit.start
        tell(f, t, k, unit.number, DONE)
    elif to == SCRAP:
        line.scrapped += 1
        tell(f, t, k, unit.number, SCRAPPED)
    elif to == USED_UP:
        line.consumed += 1
        tell(f, t, k, unit.number, USED)
    else:
        line.lost += 1
        tell(f, t, k, unit.number, LOST)
    give_carrier(f, u, t)
    unit.present = 0
    unit.next = f.world[0].free_unit
    f.world[0].free_unit = u
    f.world[0].free_units += 1


def give_carrier(f: Tables, u: int, t: float) -> None:
    """Take a unit off its carrier, which goes back."""
    carrier = f.units[u].carrier
    if carrier >= 0:
        f.units[u].carrier = NONE
        if f.carriers[carrier].return_s > 0.0:
            push(f, t + f.carriers[carrier].return_s, CARRIER_COMES, carrier, 0)
        else:
            carrier_comes(f, carrier)


def carrier_comes(f: Tables, carrier: int) -> None:
    """Have a carrier ready for the next unit."""
    f.carriers[carrier].level += 1
    for k in range(len(f.stations)):
        if f.stations[k].takes == carrier:
            look_at_station(f, k)


def lacks_carrier(f: Tables, k: int) -> bool:
    """Return whether a station has to wait for a carrier."""
    takes = f.stations[k].takes
    return takes >= 0 and f.carriers[takes].level == 0


def put_on_carrier(f: Tables, k: int, u: int) -> None:
    """Give a unit its carrier, where the station has one to give."""
    takes = f.stations[k].takes
    if takes >= 0 and f.units[u].carrier == NONE:
        f.carriers[takes].level -= 1
        f.units[u].carrier = takes


# Buffers. A unit that finds no room stays in its server, which waits in the buffer's queue of
# blocked servers; where there are no places at all it is taken from there.
def count_waiting(f: Tables, b: int, t: float, change: int) -> None:
    """Count the units of a buffer over time, and change their number."""
    buffer = f.buffers[b]
    buffer.area += buffer.level * (t - buffer.since)
    buffer.since = t
    buffer.level += change
    buffer.most = max(buffer.most, buffer.level)


def put(f: Tables, b: int, u: int, t: float) -> None:
    """Put a unit into a buffer that has room."""
    buffer = f.buffers[b]
    f.units[u].next = -1
    if buffer.tail >= 0:
        f.units[buffer.tail].next = u
    else:
        buffer.head = u
    buffer.tail = u
    count_waiting(f, b, t, 1)
    look_at_takers(f, b)


def available(f: Tables, b: int) -> int:
    """Return how many units can be taken from a buffer."""
    return f.buffers[b].level + f.buffers[b].blocked_units


def take(f: Tables, b: int, t: float) -> int:
    """Take the first unit of a buffer."""
    buffer = f.buffers[b]
    if buffer.level > 0:
        u = buffer.head
        buffer.head = f.units[u].next
        if buffer.head < 0:
            buffer.tail = -1
        count_waiting(f, b, t, -1)
        if buffer.blocked_head >= 0:
            look_at_buffer(f, b)
        f.units[u].next = -1
        return u
    return take_from_blocked(f, b, t)


def take_from_blocked(f: Tables, b: int, t: float) -> int:
    """Take a unit out of the first server that waits for room."""
    buffer = f.buffers[b]
    v = buffer.blocked_head
    server = f.servers[v]
    u = server.unit
    server.unit = f.units[u].next
    server.held -= 1
    buffer.blocked_units -= 1
    f.units[u].next = -1
    if server.held == 0:
        unblock_first(f, b)
        vacate(f, v, t)
    return u


def unblock_first(f: Tables, b: int) -> None:
    """Take the first server out of the queue for room."""
    buffer = f.buffers[b]
    buffer.blocked_head = f.servers[buffer.blocked_head].next
    if buffer.blocked_head < 0:
        buffer.blocked_tail = -1


def block(f: Tables, b: int, v: int) -> None:
    """Let a server wait for room."""
    buffer = f.buffers[b]
    f.servers[v].next = -1
    if buffer.blocked_tail >= 0:
        f.servers[buffer.blocked_tail].next = v
    else:
        buffer.blocked_head = v
    buffer.blocked_tail = v


def settle_buffer(f: Tables, b: int, t: float) -> None:
    """Let units move up into room that there is."""
    buffer = f.buffers[b]
    while buffer.blocked_head >= 0 and buffer.level < buffer.places:
        v = buffer.blocked_head
        g = f.stations[f.servers[v].station].paced
        if g >= 0:
            unblock_first(f, b)
            f.paced[g].blocked = 0
            look_at_paced(f, g)
            break  # its step takes the room, and what is left is looked at again
        put(f, b, take_from_blocked(f, b, t), t)
    look_at_takers(f, b)


# Servers.
def vacate(f: Tables, v: int, t: float) -> None:
    """Leave a server free for its next unit."""
    server = f.servers[v]
    server.unit = -1
    server.held = 0
    server.under = STARVED
    show(f, v, t)
    station = f.stations[server.station]
    server.next = station.free
    station.free = v
    look_at_station(f, server.station)


def look_for_units(f: Tables, k: int, t: float) -> None:
    """Let the free servers of a station take units, and those that lack one go on."""
    station = f.stations[k]
    serve_waiting(f, k, t)
    if station.paced >= 0:
        if f.paced[station.paced].sleeping:
            look_at_paced(f, station.paced)
        return
    while station.free >= 0:
        v = station.free
        server = f.servers[v]
        if station.arrivals:
            if station.given >= station.most:
                break
            station.free = server.next
            look_at_server(f, v)
            continue
        if not can_take(f, k):
            break
        station.free = server.next
        for _ in range(station.batch):
            u = take_unit(f, k, t)
            f.units[u].next = server.unit
            server.unit = u
            server.held += 1
        enter(f, v, t)


def can_take(f: Tables, k: int) -> bool:
    """Return whether there are units for a station, and a carrier for a new one."""
    station = f.stations[k]
    back = f.buffers[station.returns].level if station.returns >= 0 else 0
    if back >= station.batch:
        return True
    if lacks_carrier(f, k):
        return False
    if station.input == NONE:
        return not station.arrivals and station.given < station.most
    return back + available(f, station.input) >= station.batch


def take_unit(f: Tables, k: int, t: float) -> int:
    """Take a repaired unit, or the next; `can_take` was asked."""
    station = f.stations[k]
    if station.returns >= 0 and f.buffers[station.returns].level > 0:
        return take(f, station.returns, t)
    u = new_unit(f, k, t) if station.input == NONE else take(f, station.input, t)
    put_on_carrier(f, k, u)
    return u


def enter(f: Tables, v: int, t: float) -> None:
    """Let a unit into its server, where it may wait for what goes into it."""
    server = f.servers[v]
    k = server.station
    station = f.stations[k]
    tell(f, t, k, f.units[server.unit].number, ENTERS)
    if station.needs_from == station.needs_to:
        look_at_server(f, v)
        return
    server.under = FEEDER
    show(f, v, t)
    server.next = -1
    if station.wait_tail >= 0:
        f.servers[station.wait_tail].next = v
    else:
        station.wait_head = v
    station.wait_tail = v
    look_at_station(f, k)


def serve_waiting(f: Tables, k: int, t: float) -> None:
    """Give the units that are needed to the servers that wait for them, the first first."""
    station = f.stations[k]
    while station.wait_head >= 0:
        for i in range(station.needs_from, station.needs_to):
            need = f.needs[i]
            if available(f, need.buffer) < np.floor(need.credit + need.quantity + 1e-9):
                return
        v = station.wait_head
        station.wait_head = f.servers[v].next
        if station.wait_head < 0:
            station.wait_tail = -1
        for i in range(station.needs_from, station.needs_to):
            need = f.needs[i]
            count = np.int64(np.floor(need.credit + need.quantity + 1e-9))
            need.credit += need.quantity - count
            for _ in range(count):
                unit_leaves(f, k, take(f, need.buffer, t), t, USED_UP)
        f.servers[v].under = STARVED
        look_at_server(f, v)


def take_up(f: Tables, v: int, t: float) -> None:
    """Begin with a unit, or go on with it after what was missing or stood still."""
    server = f.servers[v]
    k = server.station
    station = f.stations[k]
    if server.under == WORKED:
        if not server.running:
            go_on(f, v, t)
        return
    if server.under != PART:
        station.starts += 1
        stream = STREAMS * k + PART_STREAM
        if station.part_share > 0.0 and uniform(f, stream) < station.part_share:
            server.under = PART
            show(f, v, t)
            tell(f, t, k, number_in(f, v), LACKS_PART)
            push(f, t + exponential(f, stream, station.part_s), PART_COMES, v, 0)
            return
    server.under = WORKED
    server.remaining = work_time(f, k)
    tell(f, t, k, number_in(f, v), STARTS)
    if station.is_zero and station.paced >= 0:
        call_finish(f, v)
    else:
        go_on(f, v, t)


def number_in(f: Tables, v: int) -> int:
    """Return the number of the unit in a server."""
    u = f.servers[v].unit
    return f.units[u].number if u >= 0 else 0


def go_on(f: Tables, v: int, t: float) -> None:
    """Let a server work if nothing stops it, until its work or its running time is over."""
    server = f.servers[v]
    station = f.stations[server.station]
    stands = server.down > 0 or (station.paced >= 0 and f.paced[station.paced].halted > 0)
    if not stands:
        server.running = 1
        server.run_since = t
        server.stamp += 1
        server.cause = -1
        left = server.remaining
        for i in range(server.stop0, server.stop0 + station.stops):
            if f.stops[i].in_work and f.stops[i].clock < left:
                left = f.stops[i].clock
                server.cause = i
        push(f, t + left, FINISH if server.cause < 0 else STOP, v, server.stamp)
    show(f, v, t)


def suspend(f: Tables, v: int, t: float) -> None:
    """Stop the work of a server; its planned end no longer holds."""
    server = f.servers[v]
    elapsed = t - server.run_since
    server.remaining = max(0.0, server.remaining - elapsed)
    use_clocks(f, v, elapsed)
    server.running = 0
    server.stamp += 1
    show(f, v, t)


def use_clocks(f: Tables, v: int, elapsed: float) -> None:
    """Take time that was worked off the running times of a server."""
    server = f.servers[v]
    for i in range(server.stop0, server.stop0 + f.stations[server.station].stops):
        if f.stops[i].in_work:
            f.stops[i].clock = max(0.0, f.stops[i].clock - elapsed)


def finish(f: Tables, v: int, t: float) -> None:
    """End the work of a server and say where its unit goes."""
    server = f.servers[v]
    k = server.station
    station = f.stations[k]
    if server.running:
        use_clocks(f, v, server.remaining)
    server.running = 0
    server.remaining = 0.0
    if station.arrivals:
        server.unit = new_unit(f, k, t)
        server.held = 1
    station.done += server.held
    tell(f, t, k, number_in(f, v), ENDS)
    server.to = station.to
    server.passed = 1
    if station.has_gate:
        judge(f, v, t)
    if station.gives and server.passed:
        give_carrier(f, server.unit, t)
    g = station.paced
    if g >= 0:
        server.under = STEP
        show(f, v, t)
        if server.slot == station.slot:
            f.paced[g].pending -= 1
            if f.paced[g].pending == 0:
                look_at_paced(f, g)
    else:
        deliver(f, v, t)


def judge(f: Tables, v: int, t: float) -> None:
    """Decide what a test says of a unit."""
    server = f.servers[v]
    k = server.station
    station = f.stations[k]
    unit = f.units[server.unit]
    draw = uniform(f, STREAMS * k + GATE_STREAM)
    passes, rejects = station.pass0, station.reject0
    if unit.gate == k:
        passes, rejects = station.pass1, station.reject1
    if draw >= passes:
        server.passed = 0
        station.rejects += 1
        server.to = station.rest_to
        if draw < rejects:
            server.to = station.reject_to
            unit.gate = k
        tell(f, t, k, unit.number, FAILS)


def deliver(f: Tables, v: int, t: float) -> None:
    """Let the units of a server that is done go where they go, or wait for room."""
    server = f.servers[v]
    k = server.station
    to = server.to
    if to < 0:
        while server.held > 0:
            u = server.unit
            server.unit = f.units[u].next
            server.held -= 1
            unit_leaves(f, k, u, t, to)
        vacate(f, v, t)
        return
    buffer = f.buffers[to]
    if f.stations[k].lost and not has_room(f, to):
        unit_leaves(f, k, server.unit, t, TURNED_AWAY)
        vacate(f, v, t)
    elif server.held == 1 and buffer.level < buffer.places and buffer.blocked_head < 0:
        tell(f, t, k, number_in(f, v), LEAVES)
        u = server.unit
        vacate(f, v, t)
        put(f, to, u, t)
    else:
        server.under = BLOCKED
        show(f, v, t)
        block(f, to, v)
        buffer.blocked_units += server.held
        look_at_buffer(f, to)


def has_room(f: Tables, b: int) -> bool:
    """Return whether a unit that comes would find room."""
    buffer = f.buffers[b]
    if buffer.level < buffer.places:
        return True
    free = False
    for i in range(buffer.from_, buffer.to_):
        free = free or f.stations[f.takers[i]].free >= 0
    return free


# Stops.
def stop_falls(f: Tables, i: int, t: float) -> None:
    """Let a cause stop its server, and with it all of a line that halts."""
    stop = f.stops[i]
    v = stop.server
    server = f.servers[v]
    if server.running:
        suspend(f, v, t)
    server.down += 1
    show(f, v, t)
    tell(f, t, server.station, 0, STOPS)
    push(f, t + exponential(f, stop.down_stream, stop.mttr), RUN if stop.in_work else UP, i, 0)
    g = f.stations[server.station].paced
    if g >= 0 and f.paced[g].halts:
        line = f.paced[g]
        line.halted += 1
        if line.halted == 1:
            line.halt_since = t
            for other in range(line.first_server, line.last_server + 1):
                if f.servers[other].running:
                    suspend(f, other, t)


def stop_ends(f: Tables, i: int, t: float) -> None:
    """Let a server run again, and its line."""
    stop = f.stops[i]
    v = stop.server
    server = f.servers[v]
    server.down -= 1
    running_time = exponential(f, stop.up_stream, stop.mtbf)
    if stop.in_work:
        stop.clock = running_time
    else:
        push(f, t + running_time, DOWN, i, 0)
    tell(f, t, server.station, 0, RUNS)
    g = f.stations[server.station].paced
    if g >= 0 and f.paced[g].halts:
        line = f.paced[g]
        line.halted -= 1
        if line.halted == 0:
            line.due += t - line.halt_since
            for other in range(line.first_server, line.last_server + 1):
                if f.servers[other].under == WORKED and not f.servers[other].running:
                    look_at_server(f, other)
            if line.pending == 0:
                look_at_paced(f, g)
    if server.under == WORKED and not server.running:
        look_at_server(f, v)
    show(f, v, t)


# Paced lines.
def step(f: Tables, g: int, t: float) -> None:
    """Move all units of a paced line one place on, if all are done and the pace has passed."""
    line = f.paced[g]
    if line.pending > 0 or line.halted > 0 or line.blocked:
        return
    if t < line.due:
        line.stamp += 1
        push(f, line.due, STEP_EVENT, g, line.stamp)
        return
    last = f.stations[line.last]
    v = last.first_server + last.slot
    server = f.servers[v]
    if server.unit >= 0 and server.passed and last.to >= 0:
        buffer = f.buffers[last.to]
        if buffer.level >= buffer.places:
            line.blocked = 1
            block(f, last.to, v)
            tell(f, t, line.last, number_in(f, v), WAITS)
            show_done_as(f, g, t, STEP, BLOCKED)
            return
    for k in range(line.last, line.first - 1, -1):
        station = f.stations[k]
        v = station.first_server + station.slot
        server = f.servers[v]
        u = server.unit
        server.unit = -1
        server.held = 0
        server.under = STARVED
        passed = -1
        if u >= 0:
            if not server.passed or k == line.last:
                if server.to < 0:
                    unit_leaves(f, k, u, t, server.to)
                else:
                    tell(f, t, k, f.units[u].number, LEAVES)
                    put(f, server.to, u, t)
            else:
                passed = u
        if k < line.last:
            fill_place(f, k + 1, passed, t)
    line.empty_credit += line.empty_share
    u = -1
    if line.empty_credit >= 1.0 - 1e-9:
        line.empty_credit -= 1.0
    elif can_take(f, line.first):
        u = take_unit(f, line.first, t)
    fill_place(f, line.first, u, t)
    line.due = t + line.pace
    turn_places(f, g, t)


def fill_place(f: Tables, k: int, u: int, t: float) -> None:
    """Bring a unit, or else a repaired one that waits to return, to the place left at a step."""
    station = f.stations[k]
    v = station.first_server + station.slot
    if u < 0 and station.returns >= 0 and f.buffers[station.returns].level > 0:
        u = take(f, station.returns, t)
    if u >= 0:
        f.servers[v].unit = u
        f.servers[v].held = 1
        enter(f, v, t)
    show(f, v, t)


def turn_places(f: Tables, g: int, t: float) -> None:
    """Count what must be done before the next step, and call it if there is nothing."""
    line = f.paced[g]
    show_done_as(f, g, t, BLOCKED, STEP)
    pending = 0
    has_units = False
    for k in range(line.first, line.last + 1):
        station = f.stations[k]
        station.slot = (station.slot + 1) % station.servers
        server = f.servers[station.first_server + station.slot]
        if server.unit >= 0 and server.under != STEP:
            pending += 1
    for v in range(line.first_server, line.last_server + 1):
        has_units = has_units or f.servers[v].unit >= 0
    line.pending = pending
    line.sleeping = line.pace == 0.0 and not has_units and not can_take(f, line.first)
    if pending == 0 and not line.sleeping:
        look_at_paced(f, g)


def show_done_as(f: Tables, g: int, t: float, old: int, new: int) -> None:
    """Change the state of what is done on a paced line."""
    line = f.paced[g]
    for v in range(line.first_server, line.last_server + 1):
        if f.servers[v].under == old:
            f.servers[v].under = new
            show(f, v, t)


# The loop.
def settle(f: Tables, t: float) -> None:
    """Look at everything again that a change may have made possible."""
    world = f.world[0]
    while world.todo > 0:
        world.todo -= 1
        entry = f.todo[world.todo]
        kind, index = entry >> KIND_BITS, entry & POSITION
        if kind == DUE_FINISH:
            finish(f, index, t)
        elif kind == DUE_SERVER:
            f.servers[index].queued = 0
            take_up(f, index, t)
        elif kind == DUE_STATION:
            f.stations[index].queued = 0
            look_for_units(f, index, t)
        elif kind == DUE_BUFFER:
            f.buffers[index].queued = 0
            settle_buffer(f, index, t)
        else:
            f.paced[index].queued = 0
            f.paced[index].sleeping = 0
            step(f, index, t)


def open_flow(f: Tables) -> None:
    """Set the clocks of stops and have everything looked at at time 0."""
    for i in range(len(f.stops)):
        stop = f.stops[i]
        running_time = exponential(f, stop.up_stream, stop.mtbf)
        if stop.in_work:
            stop.clock = running_time
        else:
            push(f, running_time, DOWN, i, 0)
    for k in range(len(f.stations) - 1, -1, -1):
        station = f.stations[k]
        if station.paced < 0:
            for v in range(
                station.first_server + station.servers - 1, station.first_server - 1, -1
            ):
                f.servers[v].next = station.free
                station.free = v
            look_at_station(f, k)
    for g in range(len(f.paced)):
        look_at_paced(f, g)


def run_to(f: Tables, until: float, events: int) -> int:
    """Work through the events up to a time, or so many; return why it ended."""
    world = f.world[0]
    while True:
        settle(f, world.now)
        v = world.ended
        if v >= 0:
            if f.servers[v].under == BLOCKED:
                tell(f, world.now, f.servers[v].station, number_in(f, v), WAITS)
            world.ended = -1
        if world.heap == 0 or f.heap[0].t > until:
            world.now = until
            return AT_END
        if world.free_units < world.margin or len(f.heap) - world.heap < world.heap_margin:
            return NEEDS_ROOM
        if events == 0:
            return MANY_EVENTS
        events -= 1
        event = f.heap[0]
        t, stamp = event.t, event.stamp
        what, index = event.what >> KIND_BITS, event.what & POSITION
        drop_first(f)
        world.now = t
        world.events += 1
        if what == FINISH:
            if stamp == f.servers[index].stamp:
                call_finish(f, index)
                world.ended = index
        elif what == STOP:
            if stamp == f.servers[index].stamp:
                stop_falls(f, f.servers[index].cause, t)
        elif what == DOWN:
            stop_falls(f, index, t)
        elif what in (RUN, UP):
            stop_ends(f, index, t)
        elif what == STEP_EVENT:
            if stamp == f.paced[index].stamp:
                look_at_paced(f, index)
        elif what == PART_COMES:
            look_at_server(f, index)
        else:
            carrier_comes(f, index)


def count_up_to(f: Tables, t: float) -> None:
    """Count all times up to a moment, so that the sums are complete."""
    for v in range(len(f.servers)):
        server = f.servers[v]
        f.spent[server.station, server.shown] += t - server.since
        server.since = t
    for c in range(len(f.lines)):
        count_present(f, c, t, 0)
    for b in range(len(f.buffers)):
        count_waiting(f, b, t, 0)


def run_through(
    f: Tables, edges: npt.NDArray[np.float64], sums: npt.NDArray[np.float64], done: int, events: int
) -> int:
    """Run to each edge from the `done`-th on and write down the sums there.

    Returns how many are done; fewer than there are when room or events ran out.
    """
    if f.world[0].is_open == 0:
        f.world[0].is_open = 1
        open_flow(f)
    while done < len(edges):
        if run_to(f, edges[done], events) != AT_END:
            break
        count_up_to(f, edges[done])
        write_sums(f, sums[done])
        done += 1
    return done


def write_sums(f: Tables, row: npt.NDArray[np.float64]) -> None:
    """Write the sums: of each line 6, of each station 9, of each buffer 1."""
    i = 0
    for c in range(len(f.lines)):
        line = f.lines[c]
        row[i], row[i + 1], row[i + 2] = line.area, line.good, line.time_good
        row[i + 3], row[i + 4], row[i + 5] = line.scrapped, line.consumed, line.lost
        i += 6
    for k in range(len(f.stations)):
        for state in range(STATES):
            row[i + state] = f.spent[k, state]
        row[i + STATES], row[i + STATES + 1] = f.stations[k].done, f.stations[k].rejects
        i += STATES + 2
    for b in range(len(f.buffers)):
        row[i] = f.buffers[b].area
        i += 1


def present_units(f: Tables, c: int, t: float) -> tuple[int, float]:
    """Find the units of a line that are there, one by one: how many, and their times so far.

    It looks into servers and buffers and trusts no counter. A unit found twice is counted twice.
    """
    count = 0
    time = 0.0
    for v in range(len(f.servers)):
        u = f.servers[v].unit
        while u >= 0:
            if f.units[u].line == c:
                count += 1
                time += t - f.units[u].start
            u = f.units[u].next
    for b in range(len(f.buffers)):
        u = f.buffers[b].head
        while u >= 0:
            if f.units[u].line == c:
                count += 1
                time += t - f.units[u].start
            u = f.units[u].next
    return count, time
