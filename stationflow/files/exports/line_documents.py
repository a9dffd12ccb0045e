"""The whole line and its simulation as JSON documents."""

from collections.abc import Sequence
from dataclasses import asdict
from fractions import Fraction
from typing import Any

from stationflow.line.geometry.parallel_lines import ParallelOption
from stationflow.line.simulation.simulated import Estimate, Simulated
from stationflow.line.throughput.product_throughput import Throughput
from stationflow.line.whole_line import WholeLine
from stationflow.model import Finding

SAID_ONCE = ("numbers", "findings")
"""What stands at the end of the document for all records together."""


def line_document(
    source: str,
    whole: WholeLine,
    throughput: Throughput,
    parallel: Sequence[ParallelOption],
    findings: Sequence[Finding],
) -> dict[str, Any]:
    """Return the figures of lines, machines, tests, soaks, output and what pays, as JSON has it."""
    quality = whole.quality
    return {
        "source": source,
        "output_per_h": throughput.output_per_h,
        "ideal_per_h": throughput.ideal_per_h,
        "limiter": throughput.limiter,
        "filling_s": whole.filling_s,
        "clearing_s": whole.clearing_s,
        "lines": _records(whole.lines),
        "machines": _records(whole.machines),
        "gates": _records(quality.gates),
        "soaks": _records(quality.soaks),
        "yields": _records(quality.yields),
        "samples": _records(quality.samples),
        "drops": _record(quality.drops) if quality.drops else None,
        "faults": _records(quality.pareto.rows),
        "losses": _records(throughput.losses),
        "parallel_lines": _records(parallel),
        "worth": [{**_record(value), "where": value.where} for value in throughput.values],
        "numbers": [asdict(number) for number in (*whole.numbers, *throughput.numbers)],
        "findings": [asdict(finding) for finding in findings],
    }


def simulation_document(
    source: str, simulated: Simulated, findings: Sequence[Finding]
) -> dict[str, Any]:
    """Return the answer of a simulation, as JSON has it.

    Time in system and units under way are means; their 95 % limits stand in `limits`. Where nothing
    was simulated they are null.
    """
    is_done = simulated.replications > 0
    stations = [_record(each) for each in simulated.stations]
    return {
        "source": source,
        "output_per_h": {
            "mean": simulated.output_per_h.mean if is_done else None,
            **_limits(simulated.output_per_h),
        },
        "time_in_system_s": simulated.time_in_system_s.mean if is_done else None,
        "wip": simulated.wip.mean if is_done else None,
        "limits": {
            "time_in_system_s": _limits(simulated.time_in_system_s),
            "wip": _limits(simulated.wip),
        },
        "stations": [each for each in stations if not each["name"]],
        "beside": [each for each in stations if each["name"]],
        "waiting": _records(simulated.waiting),
        "losses": _records(simulated.losses),
        "limiter": simulated.limiter,
        "limiter_line": simulated.limiter_line,
        "limiter_number": simulated.limiter_number,
        "hours": simulated.settings.hours,
        "replications": simulated.replications,
        "seed": simulated.settings.seed,
        "warm_up_h": simulated.warm_up_h,
        "findings": [asdict(finding) for finding in findings],
    }


def simulations_document(
    source: str, ranked: Sequence[tuple[str, Simulated, Sequence[Finding], Estimate | None]]
) -> dict[str, Any]:
    """Return the answers of several plans, best first: each its name, answer, findings, difference.

    A difference says how many good units an hour a plan gives more than the best.
    """
    best = ranked[0][0]
    return {
        "plans": [
            {"plan": name, **simulation_document(source, simulated, findings)}
            for name, simulated, findings, _ in ranked
        ],
        "differences": [
            {"plan": name, "best": best, "more_per_h": {"mean": more.mean, **_limits(more)}}
            for name, _, _, more in ranked
            if more is not None
        ],
    }


def _limits(estimate: Estimate) -> dict[str, float | None]:
    return {"low": estimate.low, "high": estimate.high}


def _records(records: Sequence[Any]) -> list[dict[str, Any]]:
    return [_record(record) for record in records]


def _record(record: Any) -> dict[str, Any]:
    """Return a record without its numbers and findings."""
    fields = asdict(record)
    return {name: _plain(value) for name, value in fields.items() if name not in SAID_ONCE}


def _plain(value: Any) -> Any:
    """Return a value as JSON has it: an exact number as a decimal one."""
    if isinstance(value, Fraction):
        return float(value)
    if isinstance(value, dict):
        return {name: _plain(each) for name, each in value.items()}
    return [_plain(each) for each in value] if isinstance(value, list | tuple) else value
