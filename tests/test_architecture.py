"""Imports point down the layer list; outside libraries stay behind their door."""

import ast
import importlib
import inspect
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from stationflow.storage import Store

PACKAGE = Path(__file__).parents[1] / "stationflow"
LAYERS = """
errors | units
model
network
times | pace
balancing | editing
line | supply | people
drawing | files
cards
storage
actions
cli | ui
__init__ | __main__
"""
RANK = {
    part.strip(): rank for rank, line in enumerate(LAYERS.split("\n")) for part in line.split("|")
}
DOORS = {"streamlit": ("ui/",), "sqlalchemy": ("storage/",)}
PAGES_MAY = {"actions", "drawing", "editing", "errors", "model", "ui", "units"}
HEAVY = {
    "numba",
    "ortools",
    "highspy",
    "typst",
    "pandas",
    "networkx",
    "altair",
    "distributed",
    "openpyxl",
    "streamlit",
}
MODULES = sorted(p.relative_to(PACKAGE).as_posix() for p in PACKAGE.rglob("*.py"))


def imports(path: str) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse((PACKAGE / path).read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "write absolute imports"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("path", MODULES)
def test_imports_point_down(path: str):
    here = path.split("/")[0].removesuffix(".py")
    for name in imports(path):
        top, *rest = name.split(".")
        door = DOORS.get(top)
        assert door is None or path.startswith(door), f"{path} imports {name}"
        if top == "stationflow":
            rest = rest or ["__init__"]
            if rest[0] not in RANK:  # a name that the package itself exports
                rest = ["__init__"]
            assert rest[0] == here or RANK[rest[0]] < RANK[here], f"{path} imports {name}"
            if path.startswith("ui/pages/"):
                assert rest[0] in PAGES_MAY, f"{path} imports {name}"


def test_no_two_modules_share_a_name():
    names = Counter(Path(path).stem for path in MODULES if not path.startswith("ui/pages/"))
    assert [name for name, count in names.items() if count > 1 and name != "__init__"] == []


def test_no_folder_holds_more_modules_than_can_be_looked_over():
    # 24: more hold several subjects, and who looks for one reads the names of all.
    folders = Counter(
        Path(path).parent.as_posix() for path in MODULES if not path.endswith("__init__.py")
    )
    assert {folder: count for folder, count in folders.items() if count > 24} == {}


def test_a_function_of_the_browser_s_scripts_stands_once():
    scripts = [path.read_text("utf-8") for path in (PACKAGE / "ui").rglob("*.js")]
    names = Counter(re.findall(r"^function (\w+)", "\n".join(scripts), re.MULTILINE))
    assert [name for name, count in names.items() if count > 1] == []


UI = [path for path in MODULES if path.startswith("ui/")]
WRITERS = {
    name
    for name, method in inspect.getmembers(Store, inspect.isfunction)
    if "by" in inspect.signature(method).parameters
}


@pytest.mark.parametrize("path", UI)
def test_a_page_writes_by_actions_alone(path: str):
    written = [
        node.attr
        for node in ast.walk(ast.parse((PACKAGE / path).read_text("utf-8")))
        if isinstance(node, ast.Attribute)
        and node.attr in WRITERS
        and ast.unparse(node.value).removesuffix("()").endswith("store")
    ]
    assert written == []


@pytest.mark.parametrize("path", UI)
def test_only_the_session_draws_a_page_anew(path: str):
    # Elsewhere it would bring back an engineer who has chosen another page meanwhile.
    assert path == "ui/session.py" or "st.rerun" not in (PACKAGE / path).read_text("utf-8")


@pytest.mark.parametrize("name", ["stationflow", "stationflow.model"])
def test_exported_names_are_complete_and_sorted(name: str):
    module = importlib.import_module(name)
    exported = list(module.__all__)
    classes = sorted(n for n in exported if n[0].isupper() and not n.isupper())
    assert exported == sorted(exported, key=lambda n: (not n.isupper(), not n[0].isupper(), n))
    assert all(hasattr(module, n) for n in classes)


@pytest.mark.parametrize("command", [["-c", "import stationflow"], ["-m", "stationflow", "--help"]])
def test_starting_loads_no_heavy_library(command: list[str]):
    probe = "import sys, atexit; atexit.register(lambda: print(*sys.modules, file=sys.stderr)); "
    if command[0] == "-m":
        code = (
            f"{probe}import runpy; sys.argv = {command[1:]!r}; "
            "runpy.run_module('stationflow', run_name='__main__')"
        )
    else:
        code = probe + command[1]
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent, check=True
    )
    loaded = {name.split(".")[0] for name in done.stderr.split()}
    assert not loaded & HEAVY
