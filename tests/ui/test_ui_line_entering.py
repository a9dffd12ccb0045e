"""What an engineer enters about the whole line, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, put_in
from streamlit.testing.v1 import AppTest

from stationflow.model import (
    Conveyor,
    DropProcedure,
    Fault,
    FaultCount,
    FurtherJoin,
    MachineKind,
    StationSetting,
)
from stationflow.ui import session
from tests.ui.conftest import App

SCRIPT = """
from stationflow.ui import session
from stationflow.ui.line.entering import entering

entering(session.draft())
"""
FAULTY = replace(BOARD_LAMP, faults=(Fault(code="F1", text="Dark", gate="50"),))


class Entering(App):
    """The editing views alone, on one of their tabs."""

    def __init__(self, tab: str) -> None:
        self.test = AppTest.from_string(SCRIPT, default_timeout=60)
        self.test.session_state[session.PRODUCT] = "L-200"
        self.test.session_state["line.entering"] = tab
        self.run()


@pytest.fixture
def enter(store):
    put_in(store, FAULTY)
    return Entering


def product(store):
    return store.draft("L-200").product


def test_how_a_line_moves_is_stored(store, enter):
    enter("Lines").edit(
        "lines.flow.L-200",
        edited_rows={0: {"Conveyor": "moving, unit fixed", "Carriers": "40", "Carrier back": "90"}},
    )
    main = product(store).lines[0]
    assert (main.conveyor, main.carriers, main.carrier_return_ms) == (
        Conveyor.CONTINUOUS,
        40,
        90_000,
    )


def test_what_the_pace_page_holds_of_a_line_stays(store, enter):
    enter("Lines").edit("lines.flow.L-200", edited_rows={1: {"Places before the join": "12"}})
    assert product(store).lines[1] == replace(BOARD_LAMP.lines[1], buffer_places=12)


def test_the_stops_of_a_station_are_stored_beside_what_else_is_special(store, enter):
    page = enter("Stations")
    page.edit(
        "stations.flow.L-200.main",
        added_rows=[{"Station": "2", "Between stops": "600", "To end a stop": "4.5"}],
    )
    assert product(store).lines[0].stations == (
        StationSetting(number=2, mtbf_min=600, mttr_min=4.5),
    )


def test_a_machine_is_entered_in_a_row(store, enter):
    enter("Machines").edit(
        "machines.L-200",
        added_rows=[
            {"Machine": "Washer", "Kind": "batch", "Line": "board", "In a batch": "24",
             "Batch or sheet": "600"}
        ],
    )  # fmt: skip
    washer = product(store).machines[0]
    assert (washer.kind, washer.line, washer.batch, washer.process_ms) == (
        MachineKind.BATCH,
        "board",
        24,
        600_000,
    )


def test_a_further_join_is_entered_in_a_row(store, enter):
    enter("Further joins").edit(
        "joins.L-200",
        added_rows=[{"Feeder": "board", "Feeds line": "main", "At task": "40"}],
    )
    assert product(store).joins == (FurtherJoin(line="board", feeds="main", join="40"),)


def test_a_new_code_of_a_fault_is_carried_into_the_tally(store, enter):
    counted = replace(product(store), tally=(FaultCount(date="2026-03-02", fault="F1"),))
    draft = store.draft("L-200")
    store.save(counted, base=draft.checksum, by=session.author())
    enter("Faults").edit("faults.L-200", edited_rows={0: {"Code": "F10"}})
    assert product(store).tally[0].fault == "F10"


def test_a_day_that_is_none_is_told(enter):
    page = enter("Tally of faults")
    page.edit("tally.L-200", added_rows=[{"Day": "2.3.2026", "Fault": "F1", "How often": "3"}])
    assert "a date is written 2026-09-14: year, month, day" in page.errors


def test_a_day_is_pasted_into_the_tally(store, enter):
    page = enter("Tally of faults")
    page.edit("tally.L-200", added_rows=[{"Day": "2026-03-02", "Fault": "F1", "How often": "3"}])
    assert product(store).tally == (FaultCount(date="2026-03-02", fault="F1", count=3),)


def test_a_tally_comes_in_from_a_file(store, enter):
    page = enter("Tally of faults")
    table = b"date;fault;count\n2026-03-02;F1;4\n2026-03-03;F1;2\n"
    page.test.file_uploader(key="line.taken.tally.file").upload("tally.csv", table, "text/csv")
    page.test.button(key="FormSubmitter:line.taken.tally.form-Bring in").click()
    page.run()
    assert [(each.date, each.count) for each in product(store).tally] == [
        ("2026-03-02", 4),
        ("2026-03-03", 2),
    ]


def test_the_packed_unit_is_stored_field_by_field(store, enter):
    page = enter("Packing")
    field = next(each for each in page.test.text_input if each.label == "Gross mass (kg)")
    field.set_value("8.3")
    page.run()
    choice = next(each for each in page.test.selectbox if each.label == "Drop test")
    choice.set_value(DropProcedure.ISTA_1A)
    page.run()
    packing = product(store).packing
    assert (packing.gross_kg, packing.drop_procedure) == (8.3, DropProcedure.ISTA_1A)


def test_an_emptied_cost_is_no_cost(store, enter):
    page = enter("Costs")
    label = "One station, a week"
    for typed in ("120", ""):
        next(each for each in page.test.text_input if each.label == label).set_value(typed)
        page.run()
    assert product(store).costs.station_cost_week is None
