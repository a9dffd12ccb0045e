"""Published instances. Small samples are typed in; totals come from the published table."""

import csv
from pathlib import Path

import pytest

from stationflow.balancing.balance import balance
from stationflow.errors import SourceError
from stationflow.files.instances import Instance, read_instance
from stationflow.model import BalanceSettings, Ending

PLAIN = "4\r\n3\r\n2\r\n\r\n4\r\n1\r\n1,2\r\n\r\n1,3\r\n2,4\r\n3,4\r\n-1,-1\r\n"
SECTIONS = """<number of tasks>
3

<cycle time>
1000

<order strength>
0,268

<task times>
1 142
2 34
3 140

<precedence relations>
1,2
2,3

<end>
"""


@pytest.fixture
def read(tmp_path: Path):
    """Return a function that writes a text to a file and reads it as an instance."""

    def read_text(text: str | bytes, name: str = "sample.IN2") -> Instance:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode("latin-1"))
        return read_instance(path)

    return read_text


def test_times_of_a_plain_file_are_read(read):
    assert read(PLAIN).work.times == (3, 2, 4, 1)


def test_tasks_are_numbered_as_in_the_file(read):
    assert read(PLAIN).work.numbers == ("1", "2", "3", "4")


def test_arrows_are_positions_of_predecessors(read):
    assert read(PLAIN).work.predecessors == ((), (0,), (0,), (1, 2))


def test_a_plain_file_has_no_cycle_time(read):
    assert read(PLAIN).cycle_time is None


def test_times_are_whole_file_units(read):
    assert (read(PLAIN).work.ticks, read(PLAIN).work.time_unit) == (1, "unit")


@pytest.mark.parametrize(
    "tail",
    [
        "\r\n(*** gel\xf6scht ***)\r\n4,1\r\n",
        "\x1a",
        "\r\n* remark\r\n  2,3\r\n\x1a",
        "\x1a4,1\r\n",
    ],
)
def test_nothing_after_the_end_mark_is_read(read, tail: str):
    assert read(PLAIN + tail) == read(PLAIN)


def test_a_file_without_end_mark_is_read(read):
    assert read(PLAIN.replace("-1,-1\r\n", "")) == read(PLAIN)


def test_the_dos_end_of_file_ends_a_file_without_end_mark(read):
    assert read(PLAIN.replace("-1,-1\r\n", "\x1a")) == read(PLAIN)


def test_an_arrow_given_twice_counts_once(read):
    assert read(PLAIN.replace("2,4", "2,4\n2,4")) == read(PLAIN)


def test_decimal_times_become_whole_ticks(read):
    # 0.4 + 0.3 + 0.2 + 0.1 must fit into 1.0: 4 + 3 + 2 + 1 = 10 ticks.
    assert read("4\n0.4\n0.3\n0,2\n0.1\n-1,-1").work.times == (4, 3, 2, 1)


def test_ticks_say_how_fine_decimal_times_are(read):
    assert read("2\n0.45\n3\n-1,-1").work.ticks == 100


def test_times_of_a_file_with_sections_are_read(read):
    assert read(SECTIONS, "a.alb").work.times == (142, 34, 140)


def test_the_cycle_time_of_a_file_with_sections_is_read(read):
    assert read(SECTIONS, "a.alb").cycle_time == 1000


def test_a_decimal_comma_in_the_order_strength_is_no_finding(read):
    assert read(SECTIONS, "a.alb").findings == ()


def test_sections_may_come_with_windows_line_ends(read):
    assert read(SECTIONS.replace("\n", "\r\n"), "a.alb") == read(SECTIONS, "a.alb")


def test_a_file_with_sections_may_lack_its_end(read):
    assert read(SECTIONS.replace("<end>\n", ""), "a.alb") == read(SECTIONS, "a.alb")


def test_capital_and_small_endings_are_alike(read):
    assert read(SECTIONS, "a.ALB") == read(SECTIONS, "a.alb")


def test_a_decimal_cycle_time_is_read(read):
    assert read(SECTIONS.replace("1000", "1.5"), "a.alb").cycle_time == 1.5


def test_a_section_that_is_not_read_is_named(read):
    found = read(SECTIONS.replace("<end>", "<setup times>\n1,2:3\n<end>"), "a.alb").findings
    assert [f.code for f in found] == ["limits-not-kept"]


def test_a_section_that_is_not_read_leaves_every_plan_unproven(read):
    work = read(SECTIONS.replace("<end>", "<setup times>\n1,2:3\n<end>"), "a.alb").work
    result = balance(work, BalanceSettings(method="largest-candidate", limit=1000))
    assert (len(result.stations) == result.proof.lower_bound, result.ending) == (True, Ending.FOUND)


@pytest.mark.parametrize(
    ("text", "where"),
    [
        (PLAIN.replace("1,3", "1,5"), "sample.IN2, line 9"),
        (PLAIN.replace("1,3", "3,3"), "sample.IN2, line 9"),
        (PLAIN.replace("1,3", "1-3"), "sample.IN2, line 9"),
        (PLAIN.replace("1,3", "one"), "sample.IN2, line 9"),
        (PLAIN.replace("\r\n2\r\n", "\r\n-2\r\n"), "sample.IN2, line 3"),
        (PLAIN.replace("\r\n2\r\n", "\r\nNaN\r\n"), "sample.IN2, line 3"),
        (PLAIN.replace("\r\n2\r\n", "\r\n2.1234567\r\n"), "sample.IN2, line 3"),
    ],
)
def test_a_broken_line_is_named(read, text: str, where: str):
    found = read(text).findings
    assert [(f.code, f.where) for f in found] == [("instance-broken", where)]


def test_missing_times_are_named(read):
    found = read(SECTIONS.replace("2 34\n", ""), "a.alb").findings
    assert [f.message for f in found] == ["1 of 3 times miss: 2."]


def test_a_circle_is_named(read):
    assert [f.code for f in read(PLAIN.replace("2,4", "4,1")).findings] == ["precedence-circle"]


@pytest.mark.parametrize("text", ["", "x\n1\n", "0\n", "-3\n", "999999999\n", b"\x89PNG\r\n"])
def test_a_file_without_number_of_tasks_is_refused(read, text: str | bytes):
    with pytest.raises(SourceError, match="the number of tasks reads"):
        read(text)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path):
    with pytest.raises(SourceError, match="cannot be read"):
        read_instance(tmp_path / "gone.alb")


def test_another_ending_is_refused(tmp_path: Path):
    with pytest.raises(SourceError, match="not a published instance"):
        read_instance(tmp_path / "gone.txt")


def _published(instances: Path) -> list[dict[str, str]]:
    """Return the published measures of the classic graphs (Scholl 1993)."""
    with (instances / "scholl_graphs.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.instances
def test_classic_graphs_have_the_published_sizes_and_totals(instances: Path):
    rows = _published(instances)
    works = [read_instance(instances / "scholl" / row["file"]).work for row in rows]
    measured = [
        (len(w.times), sum(map(len, w.predecessors)), min(w.times), max(w.times), sum(w.times))
        for w in works
    ]
    names = ("tasks", "arcs", "t_min", "t_max", "t_sum")
    assert measured == [tuple(int(row[name]) for name in names) for row in rows]


@pytest.mark.instances
@pytest.mark.parametrize("name", ["ARC111.IN2", "ARC83.IN2", "LUTZ2.IN2"])
def test_untouched_originals_read_like_the_cleaned_copies(instances: Path, name: str):
    original = read_instance(instances / "raw_samples" / name)
    assert original == read_instance(instances / "scholl" / name)


@pytest.mark.instances
def test_all_instances_of_2013_are_read_without_a_finding(instances: Path):
    found = [read_instance(path).findings for path in instances.glob("otto/*/*.alb")]
    assert len(found) > 0
    assert not any(found)
