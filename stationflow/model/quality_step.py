"""What a task does for quality: tests, repair, soak and sampling."""

from dataclasses import dataclass
from enum import StrEnum


class QualityKind(StrEnum):
    """What a task does for quality."""

    INSPECTION = "inspection"
    SAFETY_TEST = "safety-test"
    FUNCTION_TEST = "function-test"
    SOAK = "soak"
    REPAIR = "repair"


class Reentry(StrEnum):
    """Where a repaired unit comes back into the line."""

    BEFORE_TEST = "before-test"  # upstream of the test that failed it
    AFTER_TEST = "after-test"  # at the next empty place downstream


class SampleLevel(StrEnum):
    """The inspection level of a sampling plan (ISO 2859-1)."""

    S_1 = "S-1"
    S_2 = "S-2"
    S_3 = "S-3"
    S_4 = "S-4"
    I = "I"  # noqa: E741 (the name of the standard)
    II = "II"
    III = "III"


@dataclass(frozen=True, slots=True, kw_only=True)
class QualityStep:
    """Test, repair or soak data of a task; its hand time is the task's own time."""

    kind: QualityKind
    process_ms: int | None = None  # tested or soaked without an operator
    first_pass_share: float | None = None  # of the units; the shares are 0 to 1
    repeat_pass_share: float | None = None  # of the repaired units
    scrap_share: float | None = None  # of the rejects
    repair_ms: int | None = None  # mean of one reject
    positions: int | None = None  # places for the process; None: to be computed
    power_w: float | None = None  # of one place
    repairers: int | None = None  # who repair its rejects; None: to be computed
    # standard deviation / mean of the repair time; None: 1, as of exponential times
    repair_cv: float | None = None
    reentry: Reentry = Reentry.BEFORE_TEST
    empty_share: float = 0.0  # of the places of the line, left empty for repaired units
    handling_ms: int = 0  # to put a unit on a soak position and take it off
    spare_positions: int = 0
    outage_min: float | None = None  # longest outage of the test after it that soak must bridge
    pitch_m: float | None = None  # of a soak on a conveyor; None: on racks
    lot: int | None = None  # units of one lot, of which a sample is taken; None: every unit
    sample_level: SampleLevel | None = None
    aql_percent: float | None = None  # acceptance quality limit: nonconforming units in 100
