"""A finding: one thing about the engineer's data that should be known."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters."""

    ERROR = "error"  # the line cannot be balanced, or a card not printed, until it is cured
    WARNING = "warning"  # work can go on; the result may not be what was wanted
    NOTE = "note"  # worth knowing


CODES: dict[str, str] = {
    # tasks and precedence
    "task-without-number": "Give every task a number; rows without one are left out.",
    "duplicate-task": "Give each task its own number.",
    "lookalike-numbers": "Make numbers differ by more than spaces, case or kind of dash.",
    "task-without-time": "Time the task, or enter an estimate.",
    "task-time-zero": "Enter a time, or keep zero for a milestone only.",
    "time-too-long": "Correct the time of the task named; the sum is beyond any line.",
    "time-rounded": "Times are kept to the millisecond; nothing to do if that is fine enough.",
    "unknown-predecessor": "Correct the number, or add the missing task.",
    "unknown-apart": "Correct the number, or take it out of the limits of the task.",
    "unknown-independent-of": "Correct the number, or take it out of the limits of the task.",
    "unknown-equipment": "Correct the name, or add it to the list of equipment.",
    "unknown-zone": "Correct the name of the zone, or enter it at a station.",
    "unknown-lag": "Correct the number, or take the time between tasks away.",
    "unknown-task": "Correct the number, or clear it.",
    "unknown-fault": "Correct the code, or add the fault to the list of faults.",
    "own-predecessor": "Take the task out of its own predecessors.",
    "precedence-circle": "Take away one of the arrows named; a circle cannot be built.",
    "redundant-arrow": "Nothing to do: they are kept in the data and left out of the drawing.",
    "task-without-follower": "Enter it before the task that needs it; or nothing, if none does.",
    # lines
    "no-main-line": "Let exactly one line feed no other line: that is the main line.",
    "duplicate-line": "Give each line its own name.",
    "unknown-line": "Correct the line name, or add the line.",
    "line-circle": "Correct which line feeds which; the chain must end at the main line.",
    "feeder-without-join": "Name the task of the fed line that consumes the feeder's unit.",
    "unknown-join": "Name a task that exists on the fed line as the join.",
    "arrow-to-feeder": "Take the arrow away: a line cannot wait for the line it feeds.",
    "arrow-past-join": "Point the arrow to the join or to a task after it.",
    "empty-line": "Add tasks to the line, mark it as bought in, or delete it.",
    "line-bought-in": "Nothing is balanced there; if its units are made here, clear the mark.",
    "other-line-left-out": "Clear what is named of the task, or take the line out of its lines.",
    "join-twice": "Enter one join with the sum of both quantities.",
    "line-number-impossible": "Enter a quantity above 0, at least one copy and no negative time.",
    "line-number-not-used": "Enter the yield of the product with the demand, and set it back here.",
    # machines
    "machine-number-impossible": "Correct the number named; nothing can be computed with it.",
    "machine-not-counted": "Enter what is named: without it no machines can be counted.",
    "machine-overloaded": "Plan one more, shorten its time, or lower the demand.",
    "machine-too-short": "Lower its speed, or make the machine longer.",
    "places-short": "Plan as many places as are named, or smaller loads.",
    # plans of all lines together
    "line-too-slow": "Balance the line again at its pace, or add a copy of it.",
    "paces-differ": "Balance all lines again at the pace of today's demand.",
    "join-at-no-station": "Balance the fed line again, or name another task as the join.",
    "join-at-first-station": "Nothing to do, if the feeder starts before; or join later.",
    "joins-share-station": "See that there is room for both; or move one of the joins.",
    "line-too-long": "Shorten stations or pitch, fold the line, or split it.",
    "conveyor-too-fast": "Shorten the pitch, or let parallel lines share the demand.",
    "carriers-short": "Get as many carriers, or shorten their way back.",
    # models and pace
    "duplicate-model": "Give each model its own name.",
    "unknown-model": "Correct the model name, or add the model.",
    "share-sum": "Let the shares of the models add up to 1 (100 %).",
    "model-over-limit": "Move work for the model named, or accept drift at that station.",
    "no-demand": "Enter how many good units are wanted.",
    "no-working-time": "Enter shifts with working time and working days.",
    "breaks-too-long": "Shorten the breaks or lengthen the shift.",
    "shifts-overlap": "Let one shift end before the next begins, or plan a second line.",
    "availability-twice": "Count stops once: as planned stops of the shift, or as availability.",
    "share-out-of-range": "Enter a share between 0 and 1 (95 % is 0.95).",
    "no-station-time": "Lower the demand or the repositioning time: nothing is left for work.",
    # balancing
    "task-longer-than-limit": "Split the task, allow parallel stations, or lower the demand.",
    "line-impossible": "Allow more stations or a longer limit.",
    "tasks-added": "Nothing to do: new tasks go where they fit and count as no move.",
    "tasks-gone": "Nothing to do, if the tasks were meant to go.",
    "same-plan": "Nothing to do: the plan is stored already.",
    "nothing-found": "Give the method more time or trials, or ask for less.",
    "limits-not-kept": "Check the plan by eye for what is named, or choose a method that keeps it.",
    "limits-broken": "Choose a method that keeps the limits named, or move the tasks by hand.",
    "limits-clash": "Change or take away one of the limits named: no plan can keep them all.",
    # plans
    "no-limit": "Balance at a limit, or take the numbers on the cycle time.",
    "no-plan": "Balance the line and put the plan in force, or give a plan file.",
    "plan-out-of-date": "Balance again, or go back to the version the plan was made from.",
    "plan-file-broken": "Give a plan written by the balance command with --json.",
    "stored-unreadable": "Take it from a copy of the store, or make it again; the rest is whole.",
    "task-not-assigned": "Put the task at a station.",
    "task-assigned-twice": "Keep the task at one station only.",
    "unknown-task-in-plan": "Take the task out of the plan, or add it to the product.",
    "station-over-limit": "Move a task to another station.",
    "predecessor-later": "Move the task to a later station, or its predecessor to an earlier one.",
    "station-not-allowed": "Move the task to a station that its limits allow, or change the limit.",
    "group-split": "Bring the tasks of the group to one station, or take its label away.",
    "tasks-not-apart": "Move one of the two tasks to another station.",
    "zones-mixed": "Move the tasks of all zones but one to other stations.",
    "equipment-missing": "Move the task to a station that has it, or equip the station.",
    "equipment-barred": "Move the task to a station that may get it.",
    "equipment-short": "Bring the tasks that need it to fewer stations, or plan one more.",
    "skill-missing": "Move the task to a station whose operator has the skill, or teach it.",
    "no-static-protection": "Move the task into a static-protected area.",
    "no-guard": "Move the task to a station with a high-voltage guard.",
    "own-work-checked": "Move the check, or the work that it checks, to another station.",
    "heights-apart": "Move the tasks of one height to another station.",
    "width-exceeded": "Move a task with wide parts, or give the station more width.",
    "target-load-exceeded": "Move a task to another station, or raise its target load.",
    "lifted-too-much": "Move a task with lifting to another station, or use a lifting aid.",
    "stations-between": "Move one of the two tasks, or change the number of stations between.",
    "time-between": "Move one of the two tasks, or change the time between them.",
    "lift-too-heavy": "Plan two people or a lifting aid for it.",
    "lifting-index-high": "Plan two people or a lifting aid, or bring the load nearer or lift it "
    "less often.",
    "lift-not-covered": "Enter what is missing, or judge the lift by the rules of your country.",
    "too-many-stations": "Use no more stations than were allowed.",
    # simulation
    "warm-up-short": "Simulate more hours, or give a longer warm-up; or units pile up without end.",
    "one-replication": "Ask for more replications.",
    "simulation-stopped": "Nothing to do; let it run to its end for closer limits.",
    "simulated-straight": "Take its output and times as those of a straight line with one operator "
    "at a station.",
    "no-output": "Simulate more hours, or look where units wait and what they wait for.",
    # cards
    "step-times-differ": "Let the times of the important steps add up to the task's time.",
    "picture-missing": "Add the picture, or clear its name.",
    "check-without-limit": "Say what is accepted.",
    "check-without-reaction": "Say what the operator does when the check fails.",
    "glyph-missing": "Install a font that has these characters.",
    "text-shortened": "Shorten the text, or split it into several steps.",
    "text-cleaned": "Type the text anew; it came with characters that no printer shows.",
    "code-shortened": "Shorten the product code, the name of the line or STATIONFLOW_ADDRESS.",
    "text-style": "Reword what is named: verb first, one action, numbers with their unit.",
    # parts
    "unknown-part": "Correct the part number, or add the part to the parts list.",
    "duplicate-part": "Give each part its own number.",
    "part-quantity-differs": "Let the tasks together use exactly the quantity in the parts list.",
    # the whole line
    "duplicate-machine": "Give each machine its own name.",
    "duplicate-fault": "Give each fault its own code.",
    "number-zero": "Enter a number above 0, or clear it.",
    "none-there": "Enter how many there are, or clear it to have it computed.",
    "stops-half-entered": "Enter both the time between stops and the time to end one, or neither.",
    "stop-without-run": "Enter how long it runs between two stops.",
    "stop-of-no-length": "Enter how long a stop lasts, or clear both numbers.",
    "repair-without-exit": "Enter what share of repaired units passes, or what share is scrapped.",
    "nothing-passes": "Enter the share of units that pass: 0.95 for 95 %.",
    "soak-without-time": "Enter how long a unit soaks, or choose another kind.",
    "no-place-left": "Enter the share of places left empty: 0.05 for 5 %.",
    "sampling-half-entered": "Enter lot, inspection level and quality limit, or none of them.",
    "shortage-half-entered": "Enter how long the line waits for it, or take the share back to 1.",
    "fault-without-test": "Name the test that finds it, or enter test data for the task.",
    # test, repair, soak, packing
    "load-too-high": "Plan more of what is named, or give it less to do: the queue never ends.",
    "quality-incomplete": "Enter what is missing; the numbers that need it are left out.",
    "yield-above-gates": "Enter the yield that the gates leave, or correct the gates.",
    "empty-places-too-few": "Leave more places empty, or bring repaired units back after the test.",
    "float-never-drains": "Leave some places empty, or clear the shelf while the line stands.",
    "positions-too-few": "Plan as many soak positions as are needed, or soak for less time.",
    "no-sampling-plan": "Enter lot, inspection level and a limit that the standard has plans for.",
    "no-drop-plan": "Correct what is named of the packing, or take another procedure.",
    "near-drop-class": "Agree with the customer which unit decides, or take the greater height.",
    "fault-without-station": "Name the task that causes it, or balance the line of that task.",
    # files
    "file-missing": "Add the file, or start from an exported product.",
    "file-too-large": "Split the file or shrink the picture.",
    "file-broken": "Open the file in its own program and save it again.",
    "unknown-column": "Rename the column, or delete it; what stands in it was not read.",
    "unknown-table": "Rename the table, or take it away; what stands in it was not read.",
    "missing-column": "Add the column.",
    "time-without-unit": "Name the unit: time_s, time_min, time_cmin, time_h, time_tmu or time_ms.",
    "value-not-read": "Correct the cell; what is made from it waits for that.",
    "row-left-out": "Correct the row; it was not read.",
    "text-not-stored": "Shorten the text or take out control characters.",
    "picture-refused": "Use a plain PNG or JPEG inside the pictures folder.",
    "instance-broken": "Compare the file with the published format.",
}
"""Every code of a finding, with how to cure it in one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing about the engineer's data that should be known."""

    severity: Severity
    code: str  # one of `CODES`
    where: str  # the place in the engineer's words: "Task 140", "tasks.csv, row 17"
    message: str  # what is so, with the value and the rule
    hint: str = ""  # what to do; by default the cure that `CODES` names

    def __post_init__(self) -> None:
        """Fill in the cure of the code."""
        if self.code not in CODES:
            raise ValueError(f"unknown finding code {self.code!r}; add it to CODES")
        if not self.hint:
            object.__setattr__(self, "hint", CODES[self.code])

    def __str__(self) -> str:
        """Return the finding as one line."""
        return f"{self.severity}: {self.where}: {self.message} {self.hint}"


def error(code: str, where: str, message: str, hint: str = "") -> Finding:
    """Return a finding that has to be cured."""
    return Finding(severity=Severity.ERROR, code=code, where=where, message=message, hint=hint)


def warning(code: str, where: str, message: str, hint: str = "") -> Finding:
    """Return a finding the engineer should look at."""
    return Finding(severity=Severity.WARNING, code=code, where=where, message=message, hint=hint)


def note(code: str, where: str, message: str, hint: str = "") -> Finding:
    """Return a finding worth knowing."""
    return Finding(severity=Severity.NOTE, code=code, where=where, message=message, hint=hint)


def has_errors(findings: tuple[Finding, ...] | list[Finding]) -> bool:
    """Return whether any finding has to be cured before work can go on."""
    return any(f.severity == Severity.ERROR for f in findings)


def by_severity(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with errors first and repeated ones once."""
    order = tuple(Severity)
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: order.index(f.severity)))
