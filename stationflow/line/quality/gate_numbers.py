"""The numbers of a gate, each with its formula."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from stationflow.line.quality import gate_formulas as formulas
from stationflow.line.quality.gates import Gate, GateFigures
from stationflow.line.quality.repair_loop import (
    RepairLoop,
    bench_quantile,
    place_waiting,
    poisson_quantile,
    repair_loop,
    units_to_reach,
)
from stationflow.line.queues import Queue, finite_population, general_queue
from stationflow.model import Conveyor, Explained, Finding, Reentry, error, warning
from stationflow.model.size_limits import MOST_ALIKE, MOST_WAITING
from stationflow.pace.figures import SMALLEST, figure, fraction, is_number
from stationflow.pace.formula import Formula, Value, Written, computed_time, plain, rounded_time

HORIZONS = (("day", 1), ("week", 5), ("year", 250))
"""Times for which the growth of a float that never drains is told, in working days."""

WHERE_REPAIR = (
    "Enter the mean repair time under 'Test and repair' of the test, or of the repair task behind "
    "it. The time of a repair task itself is work in the line, in every unit."
)


def gate_figures(gate: Gate) -> GateFigures:
    """Return the numbers of one gate."""
    return replace(_figures(replace(gate, station=None)), station=gate.station)


@lru_cache(maxsize=512)  # a page, and many plans of one product, ask for the same gates again
def _figures(gate: Gate) -> GateFigures:
    figures = GateFigures(
        task=gate.task.number,
        name=gate.task.name,
        line=gate.line.name,
        kind=gate.step.kind,
        station=None,
        reentry=gate.step.reentry,
        first_pass=float(gate.first),
        repeat_pass=float(gate.repeat),
        scrap=float(gate.scrap),
        reach_share=float(gate.reach),
        repair_s=None if gate.step.repair_ms is None else gate.step.repair_ms / 1000,
        test_s=None if gate.test_time is None else float(gate.test_time),
    )
    loop = repair_loop(gate.first, gate.repeat, gate.scrap)
    if loop is None:  # a repair without an exit, which the check of what is entered names
        return figures
    builder = _Builder(gate, loop, figures)
    builder.run()
    return builder.figures


class _Builder:
    """Fills in the numbers of a gate, each with its formula."""

    def __init__(self, gate: Gate, loop: RepairLoop[Fraction], figures: GateFigures) -> None:
        self.gate, self.loop, self.figures = gate, loop, figures
        self.place = f"Task {gate.task.number}"
        self.shares = {
            "first-pass share": plain(gate.first),
            "share after repair": plain(gate.repeat),
            "scrap of rejects": plain(gate.scrap),
            "share not scrapped before": plain(gate.reach),
            "repairs": plain(loop.repairs),
            "tests": plain(loop.tests),
        }
        if gate.takt is not None:
            self.shares["operating takt"] = computed_time(gate.takt)

    def run(self) -> None:
        """Fill in everything that can be computed."""
        self._loop()
        if not is_number(float(self.gate.reach)) or not self.gate.reach:
            return  # nothing comes to it
        if self.gate.takt is not None:
            self._testers(self.gate.takt)
            self._benches(self.gate.takt)
        if self.loop.repairs and self.gate.line.conveyor != Conveyor.HAND:
            self._places()

    def put(self, *numbers: Explained, findings: Sequence[Finding] = (), **values: object) -> None:
        """Add values, numbers and findings."""
        of_gate = tuple(
            replace(n, key=f"{self.gate.where}-{n.key}".replace(" ", "-"), where=self.gate.where)
            for n in numbers
        )
        self.figures = replace(
            self.figures,
            numbers=self.figures.numbers + of_gate,
            findings=(*self.figures.findings, *findings),
            **values,  # type: ignore[arg-type]
        )

    def opened(
        self,
        formula: Formula,
        values: Mapping[str, Value] | None = None,
        again: float | None = None,
    ) -> tuple[Fraction, Explained]:
        """Return what a formula gives with the shares and more values, opened."""
        known = {**self.shares, **(values or {})}
        return formula.opened(known, again, Written(places=6, unit=formula.unit))

    def _loop(self) -> None:
        first, repeat, scrap = (
            float(self.gate.first),
            float(self.gate.repeat),
            float(self.gate.scrap),
        )
        # Going round 2, 4, 8 ... times: the visits so far come again, by the share that goes on.
        repaired, again = 1 - first, (1 - scrap) * (1 - repeat)
        for _ in range(60):
            repaired, again = repaired * (1 + again), again * again
        passed = first + repaired * (1 - scrap) * repeat
        repairs, of_repairs = self.opened(formulas.REPAIRS, again=repaired)
        tests, of_tests = self.opened(
            formulas.TESTS, again=first + repaired * (1 - scrap) + 1 - first
        )
        scrapped, of_scrap = self.opened(formulas.SCRAPPED)
        good, of_good = self.opened(formulas.FINAL, again=passed)
        self.put(
            of_repairs, of_tests, of_scrap, of_good,
            repairs_per_unit=float(repairs), tests_per_unit=float(tests),
            scrap_per_unit=float(scrapped), final_yield=float(good),
        )  # fmt: skip

    def _testers(self, takt: Fraction) -> None:
        gate, step = self.gate, self.gate.step
        arriving, of_arriving = self.opened(formulas.ARRIVING)
        self.put(of_arriving, arriving_per_h=float(arriving))
        if gate.test_time is None or not gate.is_tester:
            return
        values = {
            "time of one test": rounded_time(gate.test_time),
            "availability": plain(gate.available),
            "tests": plain(gate.line_tests),
        }
        needed, of_needed = self.opened(formulas.TESTERS, values)
        testers = step.positions or max(1, int(needed))
        if testers > MOST_WAITING:
            self._too_many(testers, "testers")
            return
        load, of_load = self.opened(formulas.TESTER_LOAD, {**values, "testers": plain(testers)})
        rate = gate.reach * gate.line_tests / takt
        sd = Fraction(gate.task.time_sd_ms or 0, 1000)
        queue = general_queue(
            float(rate),
            float(gate.test_time / gate.available),
            testers,
            arrival_scatter=float(1 - 1 / gate.line_tests),
            service_scatter=float((sd / gate.test_time) ** 2),
        )
        found: tuple[Finding, ...] = ()
        if load >= 1:
            found = (self._too_high(load, f"{testers} testers", int(needed)),)
        wait = Explained(
            name="wait for a tester",
            value=queue.wait,
            unit="s",
            formula="wait = wait of M/M/c x (scatter of arrivals + scatter of the test time) / 2",
            worked=f"{figure(float(rate) * 3600, 3)} units an hour at {testers} testers, scatter "
            f"{figure(float(1 - 1 / gate.line_tests), 4)} + "
            f"{figure(float((sd / gate.test_time) ** 2), 4)}: "
            + (f"{figure(queue.wait, 3)} s" if queue.wait is not None else "without end"),
            source="Allen and Cunneen, approximation; new units come in step, those after repair "
            "at random",
            key="tester-wait",
        )
        self.put(
            of_needed, of_load, wait, findings=found, testers_needed=int(needed), testers=testers,
            tester_load=float(load), tester_wait_s=queue.wait,
        )  # fmt: skip

    def _too_high(self, load: Fraction, what: str, needed: int) -> Finding:
        return error(
            "load-too-high",
            self.place,
            f"{what} would be busy for {figure(float(load) * 100, 1)} % of the time; at 100 % and "
            f"more the queue grows without end. {needed} are needed.",
        )

    def _too_many(self, count: int, what: str) -> None:
        said = f"{count:,} {what} would be needed; times or shares cannot be meant.".replace(
            ",", " "
        )
        self.put(findings=(error("load-too-high", self.place, said),))

    def _benches(self, takt: Fraction) -> None:
        gate, step = self.gate, self.gate.step
        if float(self.loop.repairs) < SMALLEST:
            return
        coming = fraction(3600) / takt * gate.reach
        failed, of_failed = self.opened(formulas.FAILED, {"units that come": plain(coming)})
        self.put(of_failed, failed_per_h=float(failed))
        if step.reentry == Reentry.AFTER_TEST:
            tests, of_tests = self.opened(formulas.BENCH_TESTS, {"units that come": plain(coming)})
            self.put(of_tests, bench_tests_per_h=float(tests))
        if step.repair_ms is None or step.repair_ms <= 0:
            said = (
                f"{figure(float(failed), 3)} units an hour need repair and no repair time is "
                "entered; benches and float are not computed."
            )
            self.put(findings=(warning("quality-incomplete", self.place, said, WHERE_REPAIR),))
            return
        repair = Fraction(step.repair_ms, 1000)
        values = {"visits an hour": plain(failed), "repair time": rounded_time(repair)}
        needed, of_needed = self.opened(
            formulas.BENCHES, {**values, "most load": plain(formulas.MOST_BENCH_LOAD)}
        )
        benches = step.repairers or max(1, int(needed))
        if benches > MOST_ALIKE:
            self._too_many(benches, "repair benches")
            return
        load, of_load = self.opened(formulas.BENCH_LOAD, {**values, "benches": plain(benches)})
        self.put(
            of_needed, of_load, benches_needed=int(needed), benches=benches, bench_load=float(load)
        )
        scatter = fraction(1 if step.repair_cv is None else step.repair_cv) ** 2
        queue = general_queue(
            float(failed) / 3600, float(repair), benches, service_scatter=float(scatter)
        )
        if queue.wait is None:
            self.put(findings=(self._too_high(load, f"{benches} repair benches", int(needed)),))
            return
        self._float(queue, failed, repair, benches, scatter)

    def _float(
        self,
        queue: Queue[float],
        failed: Fraction,
        repair: Fraction,
        benches: int,
        scatter: Fraction,
    ) -> None:
        """Add what waits at the benches, and how many units that may be."""
        offered = failed * repair / 3600
        wait, of_wait = self.opened(
            formulas.BENCH_WAIT,
            {
                "share that waits": plain(queue.wait_share or 0),
                "repair time": rounded_time(repair),
                "benches": plain(benches),
                "work offered": plain(offered),
                "scatter": plain((1 + scatter) / 2),
            },
            (queue.waiting or 0) / float(failed) * 3600,
        )
        present, of_present = self.opened(
            formulas.IN_REPAIR,
            {
                "visits an hour": plain(failed),
                "wait": computed_time(wait),
                "repair time": rounded_time(repair),
            },
            queue.present,
        )
        p99, p999 = (bench_quantile(float(offered), benches, p) for p in (0.99, 0.999))
        mean = float(present)
        quantiles = tuple(
            Explained(
                name=f"units in repair, not exceeded in {share:.1%} of the time",
                value=units,
                unit="units",
                formula="smallest n with P(units in repair <= n) not below the share, M/M/c",
                worked=f"{figure(float(offered), 4)} benches busy of {benches}: {units} units",
                source="stationary states of M/M/c (Gross and Harris)"
                + ("" if scatter == 1 else "; for this scatter of the repair time an estimate"),
                other=f"Poisson with the mean {figure(mean, 3)} gives "
                f"{poisson_quantile(mean, share)}: right where no unit ever waits for a bench.",
                key=f"float-p{key}",
            )
            for share, units, key in ((0.99, p99, 99), (0.999, p999, 999))
        )
        self.put(
            of_wait, of_present, *quantiles, bench_wait_s=float(wait), in_repair=mean,
            float_p99=p99, float_p999=p999,
        )  # fmt: skip
        if carriers := self.gate.line.carriers:
            self._bounded(carriers, float(failed), float(repair), benches)

    def _bounded(self, carriers: int, failed: float, repair: float, benches: int) -> None:
        """Add the float where each unit keeps its carrier, so that no more can be away."""
        queue = finite_population(carriers, benches, failed / 3600 / carriers, 1 / repair)
        present, wait = queue.present or 0.0, queue.wait or 0.0
        number = Explained(
            name="units in repair, if each keeps its carrier",
            value=present,
            unit="units",
            formula="machine-repair model: each carrier fails at the rate visits / carriers while "
            "it is on the line",
            worked=f"{carriers} carriers, {figure(failed, 3)} visits an hour, {benches} benches of "
            f"{figure(repair)} s: {figure(present, 3)} units, wait {figure(wait, 3)} s",
            source="machine-repair model, finite population (Gross and Harris)",
            other="Without the limit of the carriers more wait, see units in repair.",
            key="in-repair-bounded",
        )
        self.put(number)

    def _places(self) -> None:
        """Add the empty places that repaired units need to come back."""
        gate, loop = self.gate, self.loop
        planned = fraction(gate.step.empty_share)
        filled = (1 - planned) * gate.reach
        kept = loop.repairs * (1 - gate.scrap)  # come back from repair, each time
        if gate.step.reentry == Reentry.BEFORE_TEST:
            _, of_needed = self.opened(formulas.EMPTY_NEEDED, again=float(1 - 1 / loop.tests))
            launch, of_launch = self.opened(formulas.LAUNCH)
            launch = min(launch, Fraction(1))
            back, empty = filled * kept, 1 - filled
            self.put(
                of_needed, of_launch, empty_needed=float(loop.empty_needed),
                launch_share=float(launch),
            )  # fmt: skip
        else:
            back = filled * (1 - gate.first - loop.scrapped)
            empty, of_empty = self.opened(
                formulas.VACANCY,
                {"filled places": plain(filled), "share taken off": plain(1 - gate.first)},
            )
            self.put(of_empty, vacancy=float(empty))
        self.put(empty_share=float(1 - filled))
        if gate.takt is not None:
            pace, of_pace = self.opened(
                formulas.PLACE_PACE, {"planned empty places": plain(planned)}
            )
            self.put(of_pace, place_pace_s=float(pace))
        waiting = place_waiting(back, empty)
        if waiting is None:
            if gate.step.reentry == Reentry.AFTER_TEST:
                self._never_drains()
            return
        _, of_waiting = self.opened(
            formulas.PLACE_WAITING, {"returns": plain(back), "empty places": plain(empty)}
        )
        self.put(of_waiting, place_waiting=float(waiting))
        if gate.takt is not None and back:
            pace_s = gate.takt * (1 - planned)
            self.put(place_wait_s=float(waiting / back * pace_s))

    def _never_drains(self) -> None:
        self._growth()
        told = [
            f"{units} after a {name}"
            for (name, _), (_, units) in zip(HORIZONS, self.figures.growth, strict=False)
        ]
        grows = f" To be expected: {', '.join(told)}." if told else ""
        said = (
            "Nothing is scrapped and no place comes empty: each reject opens one place, which a "
            "repaired unit takes. The units off the line are the most that were ever in repair at "
            f"once, and never get fewer.{grows}"
        )
        self.put(findings=(warning("float-never-drains", self.place, said),))

    def _growth(self) -> None:
        """Add how the float grows: the running maximum of the units in repair."""
        figures, day_h = self.figures, float(self.gate.day_h)
        if not (figures.failed_per_h and figures.repair_s and figures.in_repair and day_h):
            return
        benches, done = figures.benches or 1, 3600 / figures.repair_s
        growth, numbers = [], []
        for name, days in HORIZONS:
            hours = days * day_h
            units, at = units_to_reach(
                figures.failed_per_h, lambda k: min(k, benches) * done, hours
            )
            growth.append((hours, units))
            numbers.append(
                Explained(
                    name=f"units off the line after a {name}",
                    value=units,
                    unit="units",
                    formula="the most units that are in repair at once within the time",
                    worked=f"{units} are expected for the first time after {figure(at, 2)} h, one "
                    f"more not within {figure(hours, 2)} h",
                    source=formulas.RECORDS,
                    other="With planned empty places or scrap the float drains and stays near its "
                    "mean.",
                    key=f"growth-{name}",
                )
            )
        self.put(*numbers, growth=tuple(growth))
