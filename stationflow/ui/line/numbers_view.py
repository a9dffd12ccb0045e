"""The numbers of the whole line, from demand to leads; each can be opened."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st

from stationflow.actions.showing.line_showing import LineView
from stationflow.model import Explained
from stationflow.model.schema.cells import capital
from stationflow.pace.figures import figure
from stationflow.ui import session, show
from stationflow.ui.text import plain

COLUMNS = 5  # of number boxes side by side
NONE = "-"
Rows = Sequence[Mapping[str, str]]


@dataclass(frozen=True, slots=True)
class Group:
    """One part of the chain: a table of what it has, and the numbers of each to be opened."""

    title: str
    rows: Rows
    numbers: Mapping[str, Sequence[Explained]]  # by what they belong to


def numbers(view: LineView) -> None:
    """Show the chain part by part."""
    groups = {group.title: group for group in _groups(view) if group.numbers or group.rows}
    if not groups:
        st.info("There are no numbers yet: demand and plans come first.")
        return
    kept = session.kept("line.numbers.part", next(iter(groups)))
    title = st.segmented_control("Part of the chain", list(groups), required=True, **kept)
    group = groups.get(title) or next(iter(groups.values()))
    if group.rows:
        show.table(group.rows, group.title, _aligned(group.rows))
    if not group.numbers:
        return
    names = list(group.numbers)
    chosen = names[0]
    if len(names) > 1:
        key = f"line.numbers.{group.title}"
        chosen = st.selectbox("Open the numbers of", names, format_func=plain, key=key)
    _boxes(group.title, chosen, group.numbers.get(chosen, ()))


def _boxes(title: str, name: str, numbers: Sequence[Explained]) -> None:
    boxes = [show.NumberBox(capital(n.name), _value(n), [n]) for n in numbers]
    show.number_row(boxes, f"line.{title}.{name}", columns=COLUMNS, small=True)


def _value(number: Explained) -> str:
    return "not computable" if number.value is None else _told(number.value, 2, number.unit)


def _aligned(rows: Rows) -> dict[str, Any]:
    """Return the columns; those after the first two hold numbers."""
    return {name: show.right() for name in list(rows[0])[2:]}


def _groups(view: LineView) -> list[Group]:
    whole, product = view.whole, view.gathered.product
    labels = {line.name: line.label for line in product.lines}
    by_line: dict[str, list[Explained]] = {}
    for number in whole.of_pace:
        by_line.setdefault(number.where or "all lines", []).append(number)
    lines = {labels.get(each.line, each.line): each.numbers for each in whole.lines if each.numbers}
    if whole.own_numbers:
        lines["All lines together"] = whole.own_numbers
    quality = whole.quality
    gates = {f"{each.task} {each.name}": each.numbers for each in quality.gates}
    yields = {f"Yield of {labels.get(y.line, y.line)}": y.numbers for y in quality.yields}
    samples = {f"Sample {each.task} {each.name}": each.numbers for each in quality.samples}
    looks = {f"Inspections of {labels.get(i.line, i.line)}": i.numbers for i in quality.inspections}
    drops = {"Drop test": quality.drops.numbers} if quality.drops else {}
    output = {"Output of the line": view.throughput.numbers} if view.throughput.numbers else {}
    return [
        Group("Demand and pace", [], by_line),
        Group("Machines", _machine_rows(view), {m.machine: m.numbers for m in whole.machines}),
        Group("Tests and repair", _gate_rows(view), {**gates, **yields, **looks}),
        Group(
            "Soak",
            _soak_rows(view),
            {f"{each.task} {each.name}": each.numbers for each in quality.soaks},
        ),
        Group("Places and leads", _line_rows(view, labels), lines),
        Group("Output", _loss_rows(view), output),
        Group("Samples and packing", _drop_rows(view), {**samples, **drops}),
        Group("Faults", _fault_rows(view), {}),
    ]


def _told(value: float | None, places: int = 0, unit: str = "") -> str:
    return NONE if value is None else f"{figure(value, places)} {unit}".strip()


def _share(value: float | None) -> str:
    return NONE if value is None else show.percent(value)


def _place(line: str, station: int | None) -> str:
    return f"{line} {station}" if station else line


def _machine_rows(view: LineView) -> Rows:
    return [
        {
            "Machine": each.machine,
            "Where": _place(each.line, each.station) if each.station else f"ahead of {each.line}",
            "Cycle": _told(each.cycle_s, 1, "s"),
            "Needed": _told(each.needed),
            "There are": _told(each.machines),
            "Used": _share(each.utilisation),
            "Units inside": _told(each.inside),
            "Waiting before / after": f"{_told(each.places_before)} / {_told(each.places_after)}",
            "Magazines empty after": _told(
                each.empty_after_s and each.empty_after_s / 60, 0, "min"
            ),
            "Changes a shift": _told(each.changes_per_shift, 1),
        }
        for each in view.whole.machines
    ]


def _gate_rows(view: LineView) -> Rows:
    return [
        {
            "Test": f"{each.task} {each.name}",
            "Where": _place(each.line, each.station),
            "First pass": _share(each.first_pass),
            "Testers": f"{each.testers} for {each.testers_needed} needed" if each.testers else NONE,
            "Tester used": _share(each.tester_load),
            "Repair benches": _told(each.benches),
            "Bench used": _share(each.bench_load),
            "In repair": _told(each.in_repair, 2),
            "In repair, 99 % of the time": _told(each.float_p99),
        }
        for each in view.whole.gates
    ]


def _soak_rows(view: LineView) -> Rows:
    return [
        {
            "Soak": f"{each.task} {each.name}",
            "Where": _place(each.line, each.station),
            "Time": _told(each.soak_s and each.soak_s / 60, 1, "min"),
            "Under power": _told(each.in_soak, 1),
            "Positions needed": _told(each.positions_needed),
            "Positions": _told(each.positions),
            "Power": _told(each.power_kw, 2, "kW"),
        }
        for each in view.whole.soaks
    ]


def _line_rows(view: LineView, labels: Mapping[str, str]) -> Rows:
    return [
        {
            "Line": labels.get(each.line, each.line),
            "Plan": "in force" if each.is_planned else "none",
            "Stations": _told(each.stations),
            "Operators": _told(each.operators),
            "Places": _told(each.places, 1),
            "Length": _told(each.length_m, 2, "m"),
            "Speed": _told(each.speed_m_per_min, 2, "m/min"),
            "Time through": _told(each.through_s and each.through_s / 60, 1, "min"),
            "Lead": _told(each.lead_s and each.lead_s / 60, 1, "min"),
            "Carriers": _told(each.carriers_needed),
        }
        for each in view.whole.lines
    ]


def _loss_rows(view: LineView) -> Rows:
    told = view.throughput
    if told.ideal_per_h is None or told.output_per_h is None:
        return []
    rows = [("Without scatter and stops", told.ideal_per_h)]
    rows += [(f"- {loss.name}", -loss.per_h) for loss in told.losses]
    rows.append(("Good units", told.output_per_h))
    return [
        {"What": name, "Units an hour": figure(per_h, 2), "Share": _share(per_h / told.ideal_per_h)}
        for name, per_h in rows
    ]


def _drop_rows(view: LineView) -> Rows:
    drops = view.whole.quality.drops
    return [
        {"Drop": f"{drop.number}", "Onto": drop.onto, "Height": f"{figure(drop.height_mm)} mm"}
        for drop in (drops.drops if drops else ())
    ]


def _fault_rows(view: LineView) -> Rows:
    return [
        {
            "Fault": f"{row.fault} {row.text}",
            "Caused at": _place(row.line, row.station) if row.line else "not known",
            "Times": f"{row.count}",
            "Share": _share(row.share),
            "Together": _share(row.cumulated),
            "Task": row.task or NONE,
            "Part": row.part or NONE,
        }
        for row in view.whole.quality.pareto.rows
    ]
