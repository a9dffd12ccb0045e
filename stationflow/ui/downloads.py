"""One menu of files to download, the same on every page."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import uuid4

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing import exporting
from stationflow.actions.showing.drawings import Kind, line_diagram, whole_diagram
from stationflow.actions.showing.exporting import What
from stationflow.drawing.charts.curve_chart import curve_file
from stationflow.files.exports.curve_tables import curve_table
from stationflow.files.exports.sheets_out import SheetTable, table_csv, tables_xlsx
from stationflow.model import Product, Station, StoredCurve
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.components.file_saver import ReadyFile, file_saver
from stationflow.ui.text import plain

MIME = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "svg": "image/svg+xml",
    "png": "image/png",
    "pdf": "application/pdf",
    "zip": "application/zip",
}
WIDTH = 440
SENT_AGAIN = 3  # the last files of a menu, in case the browser has not looked yet

Make = Callable[[], bytes]


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to download: what the menu calls it, the words of its file name, its kinds."""

    title: str
    name: tuple[str, ...]
    made: Mapping[str, Make]  # how each kind of file is made, by its ending, when it is asked for


def menu(key: str, offers: Sequence[Offer], label: str = "Download") -> None:
    """Show a button that opens the files on offer, one row for each thing.

    `key` is "page.field"; it tells menus on one page apart.
    """
    with (
        st.popover(label, icon=":material/download:", key=key),
        st.container(gap="xsmall", width=WIDTH),
    ):
        for offer in offers:
            with st.container(horizontal=True, vertical_alignment="center", gap="small"):
                st.text(offer.title, width="stretch")
                for ending, make in offer.made.items():
                    name = exporting.file_name(*offer.name, ending=ending)
                    st.button(
                        ending.upper(),
                        help=f"{plain(offer.title)} as {ending.upper()}",
                        key=f"{key}.{offer.name[-1]}.{ending}",
                        on_click=_ask,
                        args=(_kept(key, "asked"), name, MIME[ending], make),
                    )
    _serve(key)


def button(label: str, make: Make, file_name: str, mime: str, *, key: str, **look: Any) -> None:
    """Show a button that makes one file and downloads it; `look` is as for `st.button`."""
    asked = (_kept(key, "asked"), file_name, mime, make)
    st.button(label, key=key, on_click=_ask, args=asked, **look)
    _serve(key)


def _kept(key: str, what: str) -> dict[str, Any]:
    """Return the files of a menu: in the session, so that a page drawn anew loses none."""
    kept: dict[str, Any] = st.session_state.setdefault(f"{key}.{what}", {})
    return kept


def _ask(asked: dict[str, Any], *file: Any) -> None:
    """Note a file; without a look into the session, where the next run may cut in."""
    asked[uuid4().hex] = file


def _serve(key: str) -> None:
    """Make what was asked for and hand it to the browser; say what cannot be made."""
    asked, ready = _kept(key, "asked"), _kept(key, "ready")
    while asked:
        each, (name, mime, make) = next(iter(asked.items()))
        with show.last_door():
            ready[each] = ReadyFile(name=name, mime=mime, content=make())
        asked.pop(each, None)
    while len(ready) > SENT_AGAIN:
        del ready[next(iter(ready))]
    file_saver(ready, key=f"saver.{key}")


def workbook_offer(
    title: str, name: Sequence[str], make: Callable[[], Sequence[SheetTable]]
) -> Offer:
    """Return several tables on offer, as one workbook."""
    return Offer(title, tuple(name), {"xlsx": lambda: tables_xlsx(make())})


def table_offer(title: str, name: Sequence[str], make: Callable[[], SheetTable]) -> Offer:
    """Return a table on offer, as a workbook and as CSV."""
    made = {"xlsx": lambda: tables_xlsx([make()]), "csv": lambda: table_csv(make())}
    return Offer(title, tuple(name), made)


def task_offers(draft: Draft, line: str) -> list[Offer]:
    """Return what the Tasks page offers: tasks, parts, matrix, findings, diagram of the line."""
    product = draft.product
    whole = pictures(
        "Precedence diagram of all lines",
        (product.code, "all lines", "precedence of all"),
        partial(whole_diagram, product),
    )
    return [
        _table(product, What.TASKS, "Tasks"),
        _table(product, What.PARTS, "Parts list"),
        _table(product, What.MATRIX, "Precedence matrix of the line", line),
        _table(product, What.FINDINGS, "Findings"),
        _diagram(product, line),
        *([whole] if len(product.lines) > 1 else ()),
    ]


def plan_offers(state: PlanState) -> list[Offer]:
    """Return what the Balance page offers of a plan: its tables, load chart and diagram."""
    plan, product = state.judged, state.judged_by
    name = (plan.product, plan.line, *((plan.label,) if plan.number else ()))

    def table(what: What) -> SheetTable:
        return exporting.plan_tables(plan, product, state.findings)[what]

    titles = {
        What.STATIONS: "Stations with their loads",
        What.ASSIGNMENT: "Which task at which station",
        What.NUMBERS: "How the numbers come about",
        What.FINDINGS: "Findings",
    }
    return [
        workbook_offer(
            "All tables of the plan", (*name, "tables"), lambda: exporting.state_tables(state)
        ),
        *(
            table_offer(title, (*name, what), partial(table, what))
            for what, title in titles.items()
        ),
        pictures("Load chart", (*name, "load"), partial(exporting.plan_chart, plan, product)),
        _diagram(product, plan.line, plan.result.stations),
    ]


def curve_offers(product: Product, kept: StoredCurve, limit: float | None) -> list[Offer]:
    """Return what the Compare page offers of a curve: its points and its chart."""
    name = (product.code, kept.line)
    title = f"{product.code} {product.name}, line {kept.line}, version {kept.product_version}"
    drawn = (kept.curve, limit, product.time_unit, title)
    return [
        table_offer("Points of the curve", (*name, "curve"), partial(curve_table, *drawn)),
        pictures(
            "Stations against cycle time", (*name, "curve chart"), partial(curve_file, *drawn)
        ),
    ]


def pace_offers(draft: Draft) -> list[Offer]:
    """Return what the Pace page offers."""
    return [_table(draft.product, What.PACE, "Pace of every line")]


def _diagram(product: Product, line: str, stations: Sequence[Station] = ()) -> Offer:
    return pictures(
        "Precedence diagram",
        (product.code, line, "precedence"),
        partial(line_diagram, product, line, stations or None),
    )


def pictures(title: str, name: tuple[str, ...], make: Callable[[Kind], bytes]) -> Offer:
    """Return a picture on offer, as SVG, PNG and PDF."""
    kinds: tuple[Kind, ...] = ("svg", "png", "pdf")
    return Offer(title, name, {kind: partial(make, kind) for kind in kinds})


def _table(product: Product, what: What, title: str, line: str | None = None) -> Offer:
    name = (product.code, *((line,) if line else ()), what.value)
    return table_offer(title, name, partial(exporting.product_tables, product, what, line))
