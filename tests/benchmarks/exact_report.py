"""The tables of the exact benchmark, as Markdown."""

from collections.abc import Iterator, Sequence

from tests.balancing.published_lines import scholl_cases
from tests.benchmarks.exact_figures import (
    GRACE_S,
    LEAST_S,
    TIE_S,
    Duel,
    Growth,
    Line,
    Lines,
    chosen,
    contradictions,
    cycle_contradictions,
    duel,
    growth,
    is_late,
    is_proved,
    mean_gap,
    value,
    worse,
)
from tests.benchmarks.exact_questions import (
    OTTO_CLASSES,
    Question,
    asked_of,
    instances_folder,
    questions,
)

OURS = "ours"
PEERS = ("cabs", "cp-sat")
GENERAL = (*PEERS, "highs")
FEW_NAMES = 12
"""So many instances are named one by one."""
FULL_SHARE = 0.9
"""A question with less processor time than this share of its time shared its core."""


def report(lines: Sequence[Line], version: str | None = None, cores: int = 1) -> str:
    """Return all tables.

    Parameters
    ----------
    lines
        The results file.
    version
        Ours; None: that of the last line.
    cores
        On how many cores ours was asked.
    """
    limits = sorted({line["limit_s"] for line in lines if line["solver"] == OURS})
    ours = {limit: chosen(lines, OURS, limit, cores, version) for limit in limits}
    ours = {limit: own for limit, own in ours.items() if own}
    parts = [
        *_of_set("1. Scholl, fewest stations", "scholl1", ours),
        *_of_set("2. Medium (50 tasks)", "medium", ours),
        *_of_set("2. Large (100 tasks)", "large", ours),
        *_sample(lines, ours),
        *_of_set("3. Very large (1000 tasks)", "very_large", ours),
        *_very_large_peers(lines, ours),
        *_of_set("4. Scholl, shortest cycle", "scholl2", ours),
        *_cycles(ours),
        *_growth(ours),
        *_trouble(lines, ours),
    ]
    return "\n".join(parts) if lines else "No results yet."


def _of_set(title: str, name: str, ours: dict[float, Lines]) -> Iterator[str]:
    """Yield the table of ours on one set, a row for each limit."""
    asked = questions(name)
    known = [q.name for q in asked if q.lower is not None and q.lower == q.upper]
    rows = []
    for limit, everything in ours.items():
        own = {q.name: everything[q.name] for q in asked if q.name in everything}
        if not own:
            continue
        proved = {n for n, line in own.items() if is_proved(line)}
        worst = max(own, key=lambda n: own[n]["wall_s"])
        slowest = max(proved, key=lambda n: own[n]["wall_s"], default=None)
        best = sum(value(own[q.name]) == q.upper for q in asked if q.name in own)
        rows.append(
            [
                f"{limit:g} s",
                f"{len(own)} of {len(asked)}",
                str(len(proved)),
                f"{sum(n in proved for n in known)} of {sum(n in own for n in known)}",
                "" if name == "scholl2" else str(best),
                _share(mean_gap(asked, own)),
                "" if name == "scholl2" else _share(mean_gap(asked, own, with_published=True)),
                f"{sum(line['wall_s'] for line in own.values()):.0f} s",
                f"{own[worst]['wall_s']:.2f} s ({worst})",
                f"{own[slowest]['wall_s']:.2f} s ({slowest})" if slowest else "",
                f"{max(line.get('memory_mb', 0) for line in own.values())} MB",
                _names([n for n in own if n not in proved]),
            ]
        )
    if rows:
        yield from _table(
            title,
            (
                "limit",
                "ran",
                "proved",
                "of known optimum",
                "equal to best known",
                "mean gap",
                "with published bounds",
                "together",
                "longest",
                "longest proof",
                "memory peak",
                "not proved",
            ),
            rows,
        )


def _sample(lines: Sequence[Line], ours: dict[float, Lines]) -> Iterator[str]:
    """Yield what each solver made of the fixed sample, and ours beside the peers."""
    asked = questions("sample")
    names = [question.name for question in asked]
    for limit in sorted({line["limit_s"] for line in lines if line["solver"] in GENERAL}):
        found = {solver: chosen(lines, solver, limit) for solver in GENERAL}
        found = {OURS: ours.get(limit, {}), **found}
        yield from _table(
            f"2. The sample, {limit:g} s, one core",
            (
                "solver",
                "asked",
                "proved",
                *("scholl1", *OTTO_CLASSES),
                "no own plan",
                "late",
                "together",
                "mean gap",
                "core shared",
                "memory peak",
            ),
            [
                _sample_row(solver, asked_of("sample", solver), own)
                for solver, own in found.items()
                if own
            ],
        )
        mine = found[OURS]
        if not mine:
            continue
        rivals = [("better of both", PEERS), *((peer, (peer,)) for peer in GENERAL)]
        rows = []
        for title, solvers in rivals:
            met = duel(names, mine, [found[solver] for solver in solvers])
            if met.asked:
                rows.append(_duel_row(title, met))
        yield from _table(
            f"2. Ours beside each, {limit:g} s: their time / our time, geometric mean",
            (
                "peer",
                "both asked",
                "both proved",
                "ratio",
                "instances in it",
                f"ties (slower below {TIE_S:g} s)",
                "we were slower",
                "only ours proved",
                "only theirs proved",
            ),
            rows,
        )
        yield f"Times below {LEAST_S * 1000:g} ms count as {LEAST_S * 1000:g} ms in the ratio.\n"


def _sample_row(solver: str, asked: Sequence[Question], lines: Lines) -> list[str]:
    """Return the figures of one solver on the sample."""
    own = {q.name: lines[q.name] for q in asked if q.name in lines}
    of_set = [
        f"{sum(is_proved(own.get(q.name)) for q in asked if q.group == group)}"
        f"/{sum(q.name in own for q in asked if q.group == group)}"
        for group in ("scholl1", *OTTO_CLASSES)
    ]
    versions = sorted({line["version"] for line in own.values()})
    return [
        f"{solver} {', '.join(versions)}",
        str(len(own)),
        str(sum(map(is_proved, own.values()))),
        *of_set,
        str(sum(_has_no_plan(line) for line in own.values())),
        str(sum(map(is_late, own.values()))),
        f"{sum(line['wall_s'] for line in own.values()):.0f} s",
        _share(mean_gap(asked, own)),
        str(sum(_shared_core(line) for line in own.values())),
        f"{max((line.get('memory_mb', 0) for line in own.values()), default=0)} MB",
    ]


def _has_no_plan(line: Line) -> bool:
    """Return whether the solver gave no plan of its own: the first plan was given to it."""
    return value(line) is None or (line["status"] == "found" and line.get("note") == "first plan")


def _shared_core(line: Line) -> bool:
    """Return whether other processes took part of the core."""
    return bool(line["wall_s"] >= 1 and line.get("cpu_s", 0) < FULL_SHARE * line["wall_s"])


def _duel_row(title: str, met: Duel) -> list[str]:
    """Return the figures of ours beside a peer."""
    return [
        title,
        str(met.asked),
        str(met.both),
        "" if met.ratio is None else f"{met.ratio:.1f}",
        str(met.measured),
        str(met.ties),
        _names(met.slower),
        f"{len(met.only_ours)}: {_names(met.only_ours)}" if met.only_ours else "0",
        f"{len(met.only_theirs)}: {_names(met.only_theirs)}" if met.only_theirs else "0",
    ]


def _very_large_peers(lines: Sequence[Line], ours: dict[float, Lines]) -> Iterator[str]:
    """Yield plan and bound of each solver on the very large ones of the sample."""
    asked = [question for question in questions("sample") if question.group == "very_large"]
    limits = {line["limit_s"] for line in lines if line["solver"] in PEERS}
    columns = [(solver, limit) for limit in sorted(limits) for solver in PEERS]
    columns += [(OURS, limit) for limit in ours]
    found = {
        (solver, limit): ours[limit] if solver == OURS else chosen(lines, solver, limit)
        for solver, limit in columns
    }
    columns = [column for column in columns if any(q.name in found[column] for q in asked)]
    rows = [
        [question.name, f"{question.lower}-{question.upper}"]
        + [_plan_and_bound(found[column].get(question.name)) for column in columns]
        for question in asked
    ]
    rows.append(["mean gap", ""] + [_share(mean_gap(asked, found[column])) for column in columns])
    if columns:
        yield from _table(
            "3. Very large in the sample: plan / bound",
            ("instance", "best known", *(f"{solver} {limit:g} s" for solver, limit in columns)),
            rows,
        )


def _plan_and_bound(line: Line | None) -> str:
    """Return "141 / 140", or nothing."""
    return "" if line is None else f"{value(line)} / {line.get('bound', '')}"


def _cycles(ours: dict[float, Lines]) -> Iterator[str]:
    """Yield whether the shortest cycles agree with the fewest stations published."""
    names = {question.name for question in questions("scholl2")}
    cases = scholl_cases(instances_folder())
    for limit, everything in ours.items():
        own = {name: line for name, line in everything.items() if name in names}
        if own:
            against = cycle_contradictions(own, cases)
            yield (
                f"Shortest cycles with {limit:g} s against the published fewest stations: "
                f"{'; '.join(against) or 'no contradiction'}.\n"
            )


def growth_points(
    lines: Sequence[Line], version: str | None = None, cores: int = 1
) -> tuple[list[Growth], float]:
    """Return the medians at the longest limit of ours at which the growth set was asked."""
    asked = questions("growth")
    limits = sorted({line["limit_s"] for line in lines if line["solver"] == OURS}, reverse=True)
    for limit in limits:
        points = growth(asked, chosen(lines, OURS, limit, cores, version))
        if points:
            return points, limit
    return [], 1.0


def _growth(ours: dict[float, Lines]) -> Iterator[str]:
    """Yield the median time for each number of tasks."""
    asked = questions("growth")
    for limit, own in ours.items():
        points = growth(asked, own)
        if points:
            yield from _table(
                f"5. Growth at order strength 0.6, limit {limit:g} s",
                ("tasks", "instances", "proved", "median"),
                [
                    [
                        str(point.tasks),
                        f"{point.asked} {'made' if point.is_made else 'published'}",
                        str(point.proved),
                        f"{point.seconds:.4f} s" if point.is_proved else "not proved",
                    ]
                    for point in points
                ],
            )


def _trouble(lines: Sequence[Line], ours: dict[float, Lines]) -> Iterator[str]:
    """Yield what contradicts the published bounds, and what came late."""
    asked = [q for name in ("scholl1", *OTTO_CLASSES, "scholl2", "growth") for q in questions(name)]
    asked = list({question.name: question for question in asked}.values())
    limits = sorted({line["limit_s"] for line in lines})
    found = [line for limit in limits for line in contradictions(asked, ours.get(limit, {}))]
    for limit in limits:
        for solver in GENERAL:
            found += contradictions(asked, chosen(lines, solver, limit))
    yield f"Contradictions: {'; '.join(found) or 'none'}.\n"
    for limit, own in ours.items():
        above = worse(asked, own)
        yield f"Ours above the best known plan, {limit:g} s: {'; '.join(above) or 'none'}.\n"
        late = [f"{name} {line['wall_s']:.1f} s" for name, line in own.items() if is_late(line)]
        if late:
            yield f"Ours over {limit:g} s by more than {GRACE_S:g} s: {'; '.join(late)}.\n"
        shared = sum(map(_shared_core, own.values()))
        if shared:
            yield f"With {limit:g} s, {shared} questions of ours shared their core.\n"


def _share(part: float | None) -> str:
    """Return a share in percent."""
    return "" if part is None else f"{100 * part:.2f} %"


def _names(names: Sequence[str]) -> str:
    """Return a list of instances, or how many there are."""
    return ", ".join(names) if len(names) <= FEW_NAMES else f"{len(names)} instances"


def _table(title: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield a Markdown table."""
    yield f"**{title}**\n"
    yield f"| {' | '.join(head)} |"
    yield f"|{'---|' * len(head)}"
    for row in rows:
        yield f"| {' | '.join(row)} |"
    yield ""
