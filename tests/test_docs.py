"""The documents name everything that exists, and their commands are the ones that run."""

import re
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from stationflow.balancing.methods import METHODS
from stationflow.cli.commands import app
from stationflow.model import CODES
from stationflow.ui.navigation import ORDER

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_every_finding_stands_in_the_readme_with_its_cure():
    rows = dict(re.findall(r"^\| `([a-z-]+)` \| (.+?) \|$", README, re.MULTILINE))
    assert {code: rows.get(code) for code in CODES} == CODES


@pytest.mark.parametrize("method", METHODS)
def test_every_method_stands_in_the_readme(method: str):
    assert f"| `{method}` |" in README


def test_every_command_stands_in_the_readme():
    for command in app.registered_commands:
        assert f"| `{command.name or command.callback.__name__}` |" in README


def test_every_page_stands_in_the_readme():
    for _, title, _ in ORDER:
        assert f"| {title} |" in README


def test_the_first_two_blocks_are_the_commands_that_start_and_test():
    (first, start), (second, test) = BLOCKS[:2]
    assert (first, second) == ("sh", "sh")
    assert "streamlit run app.py" in start
    assert "pytest" in test
    assert not re.search(r"^\s*[$#>]", start + test, re.MULTILINE)


@pytest.mark.parametrize("name", sorted(set(re.findall(r"\]\(([^)#:]+)\)", README))))
def test_every_picture_and_file_the_readme_points_to_exists(name: str):
    assert (ROOT / name).is_file()


@pytest.mark.parametrize(
    "word", re.findall(r'^    "([a-z_]+)": \(', (ROOT / "tests/conftest.py").read_text(), re.M)
)
def test_every_marker_that_needs_more_is_explained_to_developers(word: str):
    assert f"`{word}`" in DEVELOPERS


def called_by_us() -> list[str]:
    """Return the requirements of the first part, which our own code calls."""
    part = (ROOT / "requirements.txt").read_text("utf-8").split("\n\n")[0]
    return re.findall(r"^([a-z-]+)==", part, re.MULTILINE)


@pytest.mark.parametrize("name", called_by_us())
def test_a_requirement_is_called_by_us_or_said_not_to_be(name: str):
    modules = "|".join(
        module
        for module, given in packages_distributions().items()
        if name in {each.lower().replace("_", "-") for each in given}
    )
    sources = "\n".join(path.read_text("utf-8") for path in (ROOT / "stationflow").rglob("*.py"))
    assert re.search(rf"\b(import|from|,) (?:{modules})\b", sources)
