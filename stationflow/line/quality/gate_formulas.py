"""The formulas of a gate: tests, repairs, testers, benches, places."""

from fractions import Fraction

from stationflow.pace.formula import Formula

MOST_BENCH_LOAD = Fraction(85, 100)
"""Benches are planned so that they are busy for so much of the time (common practice, no source):
from there on the wait grows faster than the load."""
GEOMETRIC = "a unit goes round until it passes or is scrapped: sum of a geometric series"
ERLANG = (
    "Erlang (1917), as in Gross and Harris, Fundamentals of Queueing Theory; other repair times "
    "by Allen and Cunneen: wait of M/M/c x (ca2 + cs2) / 2"
)
RECORDS = (
    "birth-death chain: the time from k to k + 1 units is (p0 + ... + pk) / (arrivals x pk), summed"
)
REPAIRS = Formula(
    name="repairs of one unit",
    right="(1 - first-pass share) / (1 - (1 - share after repair) x (1 - scrap of rejects))",
    source=GEOMETRIC,
    key="repairs",
    how="going round 2, 4, 8 ... times",
)
TESTS = Formula(
    name="tests of one unit",
    right="1 + repairs x (1 - scrap of rejects)",
    source=GEOMETRIC,
    other="Testers sized on first tests alone forget the tests after repair.",
    key="tests",
    how="units that pass or are scrapped, each test counted,",
)
SCRAPPED = Formula(
    name="scrap",
    right="repairs x scrap of rejects",
    source=GEOMETRIC,
    key="scrap",
)
FINAL = Formula(
    name="final yield",
    right="1 - repairs x scrap of rejects",
    source=GEOMETRIC,
    other="First-pass yield counts only what passes before any repair.",
    key="final-yield",
    how="what passes at once and after 1, 2, 3 ... repairs",
)
ARRIVING = Formula(
    name="units that come to the gate",
    unit="units/h",
    right="3600 / operating takt x share not scrapped before",
    source="balance of units",
    key="arriving",
)
TESTERS = Formula(
    name="testers needed",
    right="time of one test x tests x share not scrapped before / (operating takt x availability)",
    source="work of an hour / time of an hour",
    is_rounded_up=True,
    key="testers-needed",
)
TESTER_LOAD = Formula(
    name="load of each tester",
    right="time of one test x tests x share not scrapped before / "
    "(operating takt x availability x testers)",
    source="utilisation: time busy / time there",
    key="tester-load",
)
FAILED = Formula(
    name="visits at the repair bench",
    unit="units/h",
    right="units that come x repairs",
    source="balance of units",
    key="failed",
)
BENCH_TESTS = Formula(
    name="tests at the repair bench",
    unit="tests/h",
    right="units that come x repairs x (1 - scrap of rejects)",
    source="balance of units: what is repaired is tested there before it comes back",
    other="Where repaired units come back before the test, the testers of the line do them.",
    key="bench-tests",
)
BENCHES = Formula(
    name="repair benches needed",
    right="visits an hour x repair time / 3600 / most load",
    source="visits an hour x time of one repair, benches busy for at most 85 % of the time "
    "(common practice, no source)",
    is_rounded_up=True,
    other="Rejects x time alone, rounded up, may leave a bench that is never done.",
    key="benches-needed",
)
BENCH_LOAD = Formula(
    name="load of each repair bench",
    right="visits an hour x repair time / (3600 x benches)",
    source="utilisation: time busy / time there",
    key="bench-load",
)
BENCH_WAIT = Formula(
    name="wait for a repair bench",
    unit="s",
    right="share that waits x repair time / (benches - work offered) x scatter",
    source=ERLANG,
    key="bench-wait",
    how="the number that waits / visits (Little)",
)
IN_REPAIR = Formula(
    name="units in repair",
    unit="units",
    right="visits an hour / 3600 x (wait + repair time)",
    source="Little (1961), L = lambda x W",
    key="in-repair",
    how="those that wait and those at the benches",
)
EMPTY_NEEDED = Formula(
    name="empty places needed",
    right="repairs x (1 - scrap of rejects) / (1 + repairs x (1 - scrap of rejects))",
    source="balance of places before the test: new and repaired units fill them",
    other="This is the limit: with exactly so many a repaired unit waits without end.",
    key="empty-needed",
    how="1 - 1 / tests",
)
LAUNCH = Formula(
    name="places that may get a new unit",
    right="1 / (tests x share not scrapped before)",
    source="balance of places before the test",
    key="launch-share",
)
PLACE_PACE = Formula(
    name="time from place to place",
    unit="s",
    right="operating takt x (1 - planned empty places)",
    source="balance of places: units start at the operating takt",
    other="Without planned empty places it is the operating takt itself.",
    key="place-pace",
)
VACANCY = Formula(
    name="empty places behind the gate",
    right="1 - filled places x (1 - share taken off)",
    source="a place is empty when it came empty or its unit is taken off",
    key="vacancy",
)
PLACE_WAITING = Formula(
    name="repaired units that wait for a place",
    unit="units",
    right="returns x (1 - returns) / (empty places - returns)",
    source="single server in discrete time (Geo/Geo/1), returns and empty places independent: an "
    "upper estimate",
    key="place-waiting",
)
