"""Replications of a flow become an answer with confidence limits."""

from collections.abc import Callable, Sequence
from math import ceil

import numpy as np
import numpy.typing as npt

from stationflow.line.simulation.flow_kernel import (
    BLOCKED,
    FEEDER,
    PART,
    STARVED,
    STEP,
    STOPPED,
    WORKED,
)
from stationflow.line.simulation.flow_model import FlowModel, FlowStation
from stationflow.line.simulation.flow_run import FlowRun, Window, series
from stationflow.line.simulation.simulated import (
    Estimate,
    Loss,
    Simulated,
    SimulationSettings,
    StationShares,
    TraceEvent,
    Waiting,
)
from stationflow.line.simulation.student import estimate
from stationflow.line.simulation.warm_up import is_drifting, settled_after
from stationflow.model import Finding, note, warning

Progress = Callable[[int, int], bool]
"""Called with the replications done and asked for; False: answer with what is there."""

BINS = 100
"""Parts of the measured time in which output and work in progress are looked at."""
TRACED = (
    "enters",
    "starts",
    "ends",
    "waits",
    "leaves",
    "stops",
    "runs",
    "lacks a part",
    "fails",
    "scrapped",
    "done",
    "used",
    "turned away",
)


def simulate_flow(
    model: FlowModel,
    settings: SimulationSettings = SimulationSettings(),  # noqa: B008 - frozen
    progress: Progress = lambda done, of: True,
) -> Simulated:
    """Run a model many times and return what it gives, with 95 % limits.

    Replication n of a seed uses the same random numbers for a station of the same name in every
    model, so that two models can be compared with less scatter (common random numbers).

    >>> from stationflow.line.simulation.flow_model import Duration, unpaced_line
    >>> answer = simulate_flow(
    ...     unpaced_line((Duration(mean_s=60), Duration(mean_s=90))),
    ...     SimulationSettings(hours=10, replications=2),
    ... )
    >>> answer.output_per_h.mean, answer.limiter
    (40.0, 'main 2 limits the output: it worked 100 % of the time.')
    """
    if not settings.hours > 0 or settings.replications < 1:
        raise ValueError(f"hours are above 0 and replications 1 or more, got {settings}")
    width = settings.hours * 3600 / BINS
    given = settings.warm_up_h
    skipped = 0 if given is None else ceil(given * 3600 / width - 1e-9)
    runs = _runs(model, settings, [width * i for i in range(BINS + skipped + 1)], progress)
    settled: int | None = skipped
    if runs and given is None:
        settled = _settled(runs)
        skipped = BINS // 2 if settled is None else settled
        more = [width * i for i in range(BINS + 1, BINS + skipped + 1)]
        runs = [run for run in runs if not more or run.run(more)]
    if not runs:
        stopped = note("simulation-stopped", "Simulation", "It was stopped before its end.")
        return no_answer(settings, stopped)
    return _answer(model, settings, runs, skipped, is_settled=settled is not None)


def no_answer(settings: SimulationSettings, *findings: Finding) -> Simulated:
    """Return what stands for an answer where nothing was simulated."""
    nothing = Estimate(mean=0.0)
    return Simulated(
        settings=settings,
        replications=0,
        warm_up_h=0.0,
        output_per_h=nothing,
        time_in_system_s=nothing,
        wip=nothing,
        findings=findings,
    )


def _runs(
    model: FlowModel, settings: SimulationSettings, edges: Sequence[float], progress: Progress
) -> list[FlowRun]:
    runs: list[FlowRun] = []
    of = settings.replications
    for replication in range(of):
        trace = settings.trace if replication == 0 else 0
        run = FlowRun(model, settings.seed, replication, trace)
        if not run.run(edges, lambda: progress(len(runs), of)):
            break
        runs.append(run)
        if not progress(len(runs), of):
            break
    return runs


def _settled(runs: Sequence[FlowRun]) -> int | None:
    """Return the later cut of output and work in progress, each the mean of all replications."""
    cuts = [settled_after(np.mean([series(run, s) for run in runs], 0)) for s in ("good", "area")]
    return None if None in cuts else max(cut for cut in cuts if cut is not None)


def _answer(
    model: FlowModel,
    settings: SimulationSettings,
    runs: Sequence[FlowRun],
    first: int,
    *,
    is_settled: bool,
) -> Simulated:
    windows = [Window(run, first, first + BINS) for run in runs]
    hours = settings.hours
    outputs = tuple(w.of_main("good") / hours for w in windows)
    output = estimate(outputs)
    times = [w.of_main("time_good") / w.of_main("good") for w in windows if w.of_main("good")]
    shares = np.mean([w.shares for w in windows], 0)
    places = [k for k in range(len(model.stations)) if _is_place(model, k)]
    fullest, sentence = _limiter(model, windows, places or [0])
    drift = any(
        is_drifting(np.array([series(run, s)[first:] for run in runs])) for s in ("good", "area")
    )
    return Simulated(
        settings=settings,
        replications=len(runs),
        warm_up_h=first * hours / BINS,
        output_per_h=output,
        outputs=outputs,
        time_in_system_s=estimate(times),
        wip=estimate([w.of_main("area") / w.seconds for w in windows]),
        stations=tuple(_shares(model.stations[k], shares[k]) for k in places),
        waiting=_waiting(model, runs, windows),
        losses=_losses(model.stations[fullest], fullest, windows, hours, output.mean),
        limiter=sentence,
        limiter_line=model.stations[fullest].line,
        limiter_number=model.stations[fullest].number,
        findings=tuple(_findings(settings, runs, output, is_settled=is_settled and not drift)),
        trace=_trace(model, runs[0]),
    )


def _is_place(model: FlowModel, k: int) -> bool:
    """Whether units spend time at a station: not where they only arrive or are sorted out."""
    station = model.stations[k]
    is_paced = any(line.first <= k <= line.last for line in model.paced)
    return not station.arrivals and (is_paced or station.work.mean_s > 0)


def _shares(station: FlowStation, shares: npt.NDArray[np.float64]) -> StationShares:
    step, feeder, part = (float(shares[state]) for state in (STEP, FEEDER, PART))
    return StationShares(
        line=station.line,
        number=station.number,
        name=station.name,
        worked=float(shares[WORKED]),
        blocked=float(shares[BLOCKED]) + step,
        starved=float(shares[STARVED]) + feeder + part,
        stopped=float(shares[STOPPED]),
        of_step=step,
        of_feeder=feeder,
        of_part=part,
    )


def _waiting(
    model: FlowModel, runs: Sequence[FlowRun], windows: Sequence[Window]
) -> tuple[Waiting, ...]:
    return tuple(
        Waiting(
            name=buffer.name,
            mean=float(np.mean([w.waiting[b] for w in windows])),
            most=max(int(run.tables.buffers["most"][b]) for run in runs),
            places=buffer.places,
        )
        for b, buffer in enumerate(model.buffers)
    )


def _limiter(model: FlowModel, windows: Sequence[Window], places: Sequence[int]) -> tuple[int, str]:
    """Return the station that is busy (at work or stopped) longest, and a sentence about it."""
    busy = np.array([w.shares[:, WORKED] + w.shares[:, STOPPED] for w in windows])[:, places]
    fullest = places[int(np.argmax(busy.mean(0)))]
    station = model.stations[fullest]
    shares = np.mean([w.shares[fullest] for w in windows], 0)
    worked, stopped = shares[WORKED], shares[STOPPED]
    did = f"it worked {worked:.0%} of the time".replace("%", " %")
    if stopped >= 0.005:
        did += f" and was stopped {stopped:.0%}".replace("%", " %")
    most = int(sum(row.argmax() == busy.mean(0).argmax() for row in busy))
    often = f" In {most} of {len(windows)} runs it was the fullest." if most < len(windows) else ""
    waits = {
        "the pace of the line sets the output": shares[STEP],
        "no unit comes sooner": shares[STARVED],
        "it has to wait for a feeder": shares[FEEDER],
        "it has to wait for parts": shares[PART],
        "what comes after it takes no more": shares[BLOCKED],
    }
    reason = max(waits, key=lambda name: waits[name])
    if worked + stopped >= 1 - waits[reason] - 1e-9 and waits[reason] > 0.1:
        return fullest, f"{station.label} is the fullest, but {reason}: {did}.{often}"
    if 2 * most < len(windows):
        return fullest, f"No station stands out; {station.label} was the fullest: {did}.{often}"
    return fullest, f"{station.label} limits the output: {did}.{often}"


def _losses(
    station: FlowStation, k: int, windows: Sequence[Window], hours: float, output: float
) -> tuple[Loss, ...]:
    """Return where the output of the fullest station goes; all parts add up to the first."""
    done = float(np.mean([w.done[k] for w in windows])) / hours / station.per_unit
    shares = np.mean([w.shares[k] for w in windows], 0)
    if not shares[WORKED]:
        return ()
    rate = done / float(shares[WORKED])
    top = f"{station.label} always at work"
    parts = (
        ("stopped", rate * shares[STOPPED]),
        ("waits for the common step", rate * shares[STEP]),
        ("no room for its units", rate * shares[BLOCKED]),
        ("no unit comes", rate * shares[STARVED]),
        ("waits for a feeder's unit", rate * shares[FEEDER]),
        ("waits for a part", rate * shares[PART]),
        ("repeated, scrapped, or more units under way", done - output),
        ("output", output),
    )
    return (
        Loss(name=top, per_h=rate),
        *(Loss(name=name, per_h=float(per_h), part_of=top) for name, per_h in parts),
    )


def _findings(
    settings: SimulationSettings, runs: Sequence[FlowRun], output: Estimate, *, is_settled: bool
) -> list[Finding]:
    found = []
    if not is_settled:
        message = (
            f"Output or units under way still change after the warm-up, in {settings.hours:g} h."
        )
        found.append(warning("warm-up-short", "Simulation", message))
    if len(runs) == 1:
        message = "With one replication there are no limits of confidence."
        found.append(note("one-replication", "Simulation", message))
    if len(runs) < settings.replications:
        message = f"It was stopped after {len(runs)} of {settings.replications} replications."
        found.append(note("simulation-stopped", "Simulation", message))
    if not output.mean:
        message = f"No good unit left the main line in {settings.hours:g} h."
        found.append(warning("no-output", "Simulation", message))
    return found


def _trace(model: FlowModel, run: FlowRun) -> tuple[TraceEvent, ...]:
    rows = run.tables.trace[: int(run.tables.world[0]["traced"])]
    return tuple(
        TraceEvent(
            at_s=float(row["t"]),
            line=model.stations[row["station"]].line,
            station=model.stations[row["station"]].number,
            name=model.stations[row["station"]].name,
            unit=int(row["unit"]),
            what=TRACED[row["what"]],
        )
        for row in rows
    )
