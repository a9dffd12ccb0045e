"""The places that `benchmarks/mutants.py` breaks are still there."""

import pytest

from tests.benchmarks.mutants import MUTANTS, ROOT


def test_sixty_places_are_broken():
    assert len({(mutant.module, mutant.old, mutant.new) for mutant in MUTANTS}) == 60


@pytest.mark.parametrize("number", range(1, len(MUTANTS) + 1))
def test_what_is_broken_stands_once_and_stays_python(number: int):
    mutant = MUTANTS[number - 1]
    text = (ROOT / "stationflow" / mutant.module).read_text("utf-8")
    assert text.count(mutant.old) == 1
    compile(text.replace(mutant.old, mutant.new), mutant.module, "exec")


@pytest.mark.parametrize("file", sorted({file for mutant in MUTANTS for file in mutant.files}))
def test_the_tests_that_should_see_it_are_there(file: str):
    assert (ROOT / file).is_file()
