"""One menu of files to download, the same on every page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any
from uuid import uuid4

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing import exporting
from stationflow.actions.showing.drawings import Kind, diagram_file, whole_diagram_file
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
}
WIDTH = 440
SENT_AGAIN = 3  # the last files of a menu, in case the browser has not looked yet

Make = Callable[[], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One thing to download.

    Attributes
    ----------
    title
        What it is, as the menu says it: "Stations".
    name
        File name without its ending.
    made
        How each kind of file is made, by its ending; it is made when it is asked for.
    """

    title: str
    name: tuple[str, ...]
    made: dict[str, Make] = field(default_factory=dict)


@st.fragment
def menu(key: str, offers: Sequence[Offer], label: str = "Download") -> None:
    """Show a button that opens the files on offer, one row for each thing.

    Parameters
    ----------
    key
        "page.field"; tells menus on one page apart.
    offers
        From `task_offers`, `plan_offers`, `pace_offers` or a page's own.
    """
    wanted = _Wanted(key)
    with (
        st.popover(label, icon=":material/download:", key=key),
        st.container(gap="xsmall", width=WIDTH),
    ):
        for offer in offers:
            with st.container(horizontal=True, vertical_alignment="center", gap="small"):
                st.text(offer.title, width="stretch")
                for ending, make in offer.made.items():
                    file = (exporting.file_name(*offer.name, ending=ending), MIME[ending], make)
                    st.button(
                        ending.upper(),
                        help=f"{plain(offer.title)} as {ending.upper()}",
                        key=f"{key}.{offer.name[-1]}.{ending}",
                        on_click=wanted.ask,
                        args=file,
                    )
    wanted.serve()


@st.fragment
def button(label: str, make: Make, file_name: str, mime: str, *, key: str, **look: Any) -> None:
    """Show a button that makes one file and downloads it; `look` is as for `st.button`."""
    wanted = _Wanted(key)
    st.button(label, key=key, on_click=wanted.ask, args=(file_name, mime, make), **look)
    wanted.serve()


class _Wanted:
    """The files asked for in a menu: kept in the session, so that a page drawn anew loses none."""

    def __init__(self, key: str) -> None:
        self._key = key
        self._asked: dict[str, tuple[str, str, Make]] = self._kept("asked")
        self._ready: dict[str, ReadyFile] = self._kept("ready")

    def _kept(self, what: str) -> dict[str, Any]:
        kept: dict[str, Any] = st.session_state.setdefault(f"{self._key}.{what}", {})
        return kept

    def ask(self, name: str, mime: str, make: Make) -> None:
        """Note that a file is wanted."""
        self._asked[uuid4().hex] = (name, mime, make)

    def serve(self) -> None:
        """Make what was asked for and hand it to the browser; say what cannot be made."""
        while self._asked:
            each = next(iter(self._asked))
            name, mime, make = self._asked[each]
            with show.last_door():
                self._ready[each] = ReadyFile(name=name, mime=mime, content=make())
            self._asked.pop(each, None)
        while len(self._ready) > SENT_AGAIN:
            del self._ready[next(iter(self._ready))]
        file_saver(self._ready, key=f"{self._key}.saver")


def table_offer(title: str, name: Sequence[str], make: Callable[[], SheetTable]) -> Offer:
    """Return a table on offer, as a workbook and as CSV."""
    return Offer(
        title=title,
        name=tuple(name),
        made={
            "xlsx": lambda: tables_xlsx([make()]),
            "csv": lambda: table_csv(make()),
        },
    )


def task_offers(draft: Draft, line: str) -> list[Offer]:
    """Return what the Tasks page offers: tasks, parts, matrix, findings, diagram of the line."""
    product = draft.product
    drawn = [diagram_offer(product, line)]
    if len(product.lines) > 1:
        drawn.append(_whole_diagram(product))
    return [
        _table(product, What.TASKS, "Tasks", None),
        _table(product, What.PARTS, "Parts list", None),
        _table(product, What.MATRIX, "Precedence matrix of the line", line),
        _table(product, What.FINDINGS, "Findings", None),
        *drawn,
    ]


def diagram_offer(product: Product, line: str, stations: Sequence[Station] = ()) -> Offer:
    """Return the precedence diagram of a line on offer, stations marked when there are any."""
    return _pictures(
        "Precedence diagram",
        (product.code, line, "precedence"),
        lambda kind: diagram_file(product, line, stations or None, kind),
    )


def plan_offers(state: PlanState) -> list[Offer]:
    """Return what the Balance page offers of a plan: its tables, load chart and diagram."""
    plan, product = state.plan, state.made_from
    name = (plan.product, plan.line, *((f"plan {plan.plan_id}",) if plan.plan_id else ()))

    def table(what: What) -> Callable[[], SheetTable]:
        return lambda: exporting.plan_tables(plan, product, state.findings)[what]

    whole = Offer(
        title="All tables of the plan",
        name=(*name, "tables"),
        made={"xlsx": lambda: tables_xlsx(exporting.state_tables(state))},
    )
    drawn = _pictures(
        "Load chart", (*name, "load"), lambda kind: exporting.plan_chart(plan, product, kind)
    )
    titles = {
        What.STATIONS: "Stations with their loads",
        What.ASSIGNMENT: "Which task at which station",
        What.NUMBERS: "How the numbers come about",
        What.FINDINGS: "Findings",
    }
    tables = [table_offer(title, (*name, what), table(what)) for what, title in titles.items()]
    return [whole, *tables, drawn, diagram_offer(product, plan.line, plan.result.stations)]


def curve_offers(product: Product, kept: StoredCurve, limit: float | None) -> list[Offer]:
    """Return what the Compare page offers of a curve: its points and its chart."""
    name = (product.code, kept.line)
    title = f"{product.code} {product.name}, line {kept.line}, version {kept.product_version}"
    unit = product.time_unit
    return [
        table_offer(
            "Points of the curve",
            (*name, "curve"),
            lambda: curve_table(kept.curve, limit, unit, title),
        ),
        _pictures(
            "Stations against cycle time",
            (*name, "curve chart"),
            lambda kind: curve_file(kept.curve, limit, unit, title, kind),
        ),
    ]


def pace_offers(draft: Draft) -> list[Offer]:
    """Return what the Pace page offers."""
    return [_table(draft.product, What.PACE, "Pace of every line", None)]


def _whole_diagram(product: Product) -> Offer:
    """Return the diagram of all lines on offer."""
    return _pictures(
        "Precedence diagram of all lines",
        (product.code, "all lines", "precedence of all"),
        lambda kind: whole_diagram_file(product, kind),
    )


def _pictures(title: str, name: Sequence[str], make: Callable[[Kind], bytes]) -> Offer:
    """Return a picture on offer, as each kind of file."""
    kinds: tuple[Kind, ...] = ("svg", "png", "pdf")
    return Offer(title=title, name=tuple(name), made={kind: partial(make, kind) for kind in kinds})


def _table(product: Product, what: What, title: str, line: str | None) -> Offer:
    """Return one table of a product on offer."""
    name = (product.code, *((line,) if line else ()), what.value)
    return table_offer(title, name, lambda: exporting.product_tables(product, what, line))
