"""Balance all lines of a product at once, at one pace, with the tasks that may change lines."""

from dataclasses import dataclass, replace
from time import monotonic

from stationflow.balancing.balance import not_read_for_goals
from stationflow.balancing.balance_check import check_settings
from stationflow.balancing.methods import METHODS
from stationflow.balancing.progress import Progress
from stationflow.balancing.work import line_work
from stationflow.line.joint.joint_check import check_joint
from stationflow.line.joint.joint_search import Found, JointSearch
from stationflow.line.joint.line_answers import NONE, LineAnswers
from stationflow.line.joint.ownership import ownership
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Ending,
    Finding,
    Goal,
    Product,
    by_severity,
    error,
    has_errors,
)
from stationflow.model.unread import Use
from stationflow.network.joins import check_lines
from stationflow.pace.takt import line_pace


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedTask:
    """A task that is best done on another line than it is entered for."""

    task: str
    old: str  # line
    new: str  # line


@dataclass(frozen=True, slots=True, kw_only=True)
class JointBalance:
    """All lines balanced at once."""

    # the plan of each line in listed order, bought-in lines left out; without plans what is
    # wrong with each
    results: tuple[BalanceResult, ...]
    ending: Ending | None  # None: data errors
    moved: tuple[MovedTask, ...] = ()
    # of all lines, each counted as often as it has copies; None: there are no plans
    total_stations: int | None = None
    separate_stations: int | None = None  # of the lines balanced one by one as they are entered
    lower_bound: int = 0  # proven: no choice of lines and no plans have fewer stations together
    product: Product  # with the moved tasks on their new lines
    made_from: Product  # as it is entered
    tried: int = 0  # complete choices of lines that were looked at
    findings: tuple[Finding, ...] = ()  # of all lines together

    @property
    def has_plans(self) -> bool:
        """Whether every line has a plan."""
        return self.total_stations is not None

    @property
    def gap(self) -> int | None:
        """Stations that might be saved at most; None: there are no plans."""
        return None if self.total_stations is None else self.total_stations - self.lower_bound


def joint_balance(
    product: Product,
    settings: BalanceSettings | None = None,
    progress: Progress | None = None,
) -> JointBalance:
    """Balance all lines of a product at one pace so that they have the fewest stations together.

    Tasks with `other_lines` are put on the line where they serve that best. A task on a line that
    is fed, which follows a feeder's task, comes at or after the join; a feeder's task follows no
    task of the line it feeds. Each line has the limit of its own pace, and all limits entered are
    kept as in a balance of one line. The plans are verified.

    Raises ValueError if the settings ask for another goal than the fewest stations at the pace.
    """
    settings = settings or BalanceSettings()
    if settings.goal != Goal.FEWEST_STATIONS or settings.limit is not None:
        raise ValueError("the lines are balanced together at their own pace only")
    if wrong := check_settings(replace(settings, limit=1.0)):
        raise ValueError(" ".join(wrong))
    progress = progress or Progress()
    names = tuple(line.name for line in product.made_lines)
    if refused := _refused(product, names, settings):
        return refused
    seconds = METHODS[settings.method].seconds if settings.seconds is None else settings.seconds
    deadline = None if seconds is None else monotonic() + seconds
    known = ownership(product)
    progress.on_start(METHODS[settings.method].name, len(product.tasks))
    answers = LineAnswers(product, settings, progress, deadline)
    found = JointSearch(known, names, answers, progress).run()
    if found.product is None:
        return _without_plans(product, names, known.findings, found)
    if broken := check_joint(product, found.product, found.results):
        said = " ".join(f"{finding.where}: {finding.message}" for finding in broken)
        raise RuntimeError(f"the joint balance gave plans that fail: {said}")
    lines = {task.number: task.line for task in found.product.tasks}
    kept = all(f.code != "limits-not-kept" for r in found.results.values() for f in r.findings)
    is_best = found.total == found.least and kept
    return JointBalance(
        results=tuple(found.results[name] for name in names),
        ending=Ending.OPTIMAL if is_best else Ending.FOUND,
        moved=tuple(
            MovedTask(task=task.number, old=task.line, new=lines[task.number])
            for task in product.tasks
            if lines[task.number] != task.line
        ),
        total_stations=found.total,
        separate_stations=found.separate,
        lower_bound=found.least,
        product=found.product,
        made_from=product,
        tried=found.tried,
        findings=known.findings,
    )


def _refused(
    product: Product, names: tuple[str, ...], settings: BalanceSettings
) -> JointBalance | None:
    """Return what is wrong with the lines; None: they can be balanced."""
    results, has_wrong = [], has_errors(check_lines(product))
    for name in names:
        work, findings = line_work(product, name)
        pace = line_pace(product, name)
        of_goals = not_read_for_goals(product, name, settings)
        other_lines = product.stopped([name], Use.JOINT)
        findings = tuple(dict.fromkeys((*findings, *pace.findings, *of_goals, *other_lines)))
        has_wrong |= work is None or pace.station_time_s is None or has_errors(findings)
        results.append(BalanceResult(line=name, asked=settings, findings=by_severity(findings)))
    if not has_wrong:
        return None
    return JointBalance(results=tuple(results), ending=None, product=product, made_from=product)


def _without_plans(
    product: Product,
    names: tuple[str, ...],
    findings: tuple[Finding, ...],
    found: Found,
) -> JointBalance:
    """Return the lines as they are, with what each says of why it has no plan."""
    ending = Ending.IMPOSSIBLE if found.least >= NONE else Ending.NOTHING_FOUND
    message = "No choice of lines for the tasks that may move gives every line a plan."
    said = (error("line-impossible", "Lines", message),) if ending == Ending.IMPOSSIBLE else ()
    return JointBalance(
        results=tuple(found.results[name] for name in names if name in found.results),
        ending=ending,
        product=product,
        made_from=product,
        lower_bound=0 if found.least >= NONE else found.least,
        tried=found.tried,
        findings=(*said, *findings),
    )
