"""Where the rows go, and the one button that brings them in."""

from typing import Any

import streamlit as st

from stationflow.actions.importing import bringing_in
from stationflow.actions.importing.bringing_in import BroughtIn, Preview
from stationflow.actions.importing.todays_plan import NAME
from stationflow.errors import DraftChangedError, StationflowError
from stationflow.files.foreign.import_report import Outcome
from stationflow.files.foreign.into_product import MergeMode
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.imports import import_preview
from stationflow.ui.imports.import_job import ImportJob, kept, kept_field, target_product
from stationflow.ui.text import plain
from stationflow.units import TimeUnit

MODES = {
    MergeMode.UPDATE: "update those of the same number, add new ones",
    MergeMode.ADD: "only add new ones",
    MergeMode.REPLACE: "replace all: what is not in the sheet is taken out",
}


def taking(job: ImportJob, draft: Draft | None) -> None:
    """Show where the rows go, what would come in, and bring it in."""
    product, checksum = target_product(job, draft)
    with st.container(border=True):
        _brought_in(job)  # beside the button that was pressed: in sight wherever the page stands
        settings, action = st.columns([4, 1], vertical_alignment="bottom")
        with settings:
            _where(job, draft)
        unit = product.time_unit if checksum else TimeUnit.SECOND
        looked_at = job.preview(product, checksum)
        with action:
            pressed = _button(looked_at)
        _today(job, looked_at)
    if pressed:
        _bring_in(job, draft, looked_at)
    job.looked_at = checksum
    _what_comes(job, job.preview(product, checksum, whole=True), looked_at, unit)


def _where(job: ImportJob, draft: Draft | None) -> None:
    """Let the engineer choose the product, and what happens to what is there."""

    def put(**changes: Any) -> None:
        for name, value in changes.items():
            setattr(job, name, value)
        job.turn += 1

    with st.container(horizontal=True, vertical_alignment="bottom"):
        is_new = draft is None or bool(job.into_new)
        if draft is not None:
            code = draft.product.code
            st.segmented_control(
                "Into",
                [False, True],
                required=True,
                format_func=lambda new: "a new product" if new else f"{plain(code)}, open",
                **kept("into", is_new, lambda new: put(into_new=new)),
            )
        if is_new:
            st.text_input(
                "Code of the new product",
                max_chars=60,
                width=220,
                **kept_field(job, "code", "new_code"),
            )
            st.text_input(
                "Its name",
                max_chars=200,
                width=320,
                **kept_field(job, "name", "new_name"),
            )
        else:
            st.selectbox(
                "What is there already",
                list(MODES),
                width=420,
                format_func=MODES.__getitem__,
                **kept("mode", job.mode, lambda mode: put(mode=mode)),
            )


def _button(looked_at: Preview) -> bool:
    """Show the one button; return whether it was pressed."""
    open_ones = len(looked_at.imported.unanswered)
    is_known = looked_at.merge.product == looked_at.base
    if open_ones:
        st.caption(f"Answer {open_ones} question{'' if open_ones == 1 else 's'} above first.")
    elif looked_at.count and is_known:
        st.caption("The product holds all of this already.")
    return st.button(
        f"Bring in {import_preview.noun(looked_at.mapping.kind, looked_at.count)}",
        type="primary",
        icon=":material/input:",
        width="stretch",
        disabled=bool(open_ones) or not looked_at.count or is_known,
        key="import.bring_in",
    )


def _today(job: ImportJob, looked_at: Preview) -> None:
    """Offer to keep the stations of today as a plan, or say why that cannot be."""
    if looked_at.today_obstacle:
        st.caption(
            f"The sheet names stations of today. They cannot be kept as a plan: "
            f"{plain(looked_at.today_obstacle)}"
        )
    elif looked_at.today:
        st.checkbox(
            f"Keep the stations of today as a plan “{NAME}” "
            f"({plain(import_preview.stations_words(looked_at.today))})",
            help="A plan to compare with: its loads and findings are worked out as of any plan.",
            **kept_field(job, "today", "keep_today"),
        )


def _bring_in(job: ImportJob, draft: Draft | None, looked_at: Preview) -> None:
    """Store what the screen showed; say what happened."""
    try:
        if draft is not None and not job.into_new:
            if job.looked_at != draft.checksum:
                raise DraftChangedError(draft.product.code, draft.by, draft.version)
            came = bringing_in.bring_in(
                session.store(), looked_at, job.sheet, job.file.name, base=job.looked_at,
                keep_today=job.keep_today, by=session.author(),
            )  # fmt: skip
        else:
            came = bringing_in.bring_in_as_new(
                session.store(), looked_at, job.sheet, job.file.name, code=job.new_code,
                name=job.new_name, keep_today=job.keep_today, by=session.author(),
            )  # fmt: skip
    except DraftChangedError as changed:
        st.warning(
            f"{plain(changed.message)} Nothing was brought in, and every choice is kept. The rows "
            "below are compared with that version now: look at them and press the button again."
        )
    except StationflowError as problem:
        st.error(f"{plain(problem.message)}\n\n{plain(problem.hint)}")
    else:
        job.done = _said(looked_at, came)
        job.into_new = False
        session.open_product(came.draft.product.code)
        session.rerun()


def _said(looked_at: Preview, came: BroughtIn) -> str:
    """Return what an import did, in sentences."""
    product = came.draft.product
    what = import_preview.noun(looked_at.mapping.kind, looked_at.count)
    said = (
        f"{what} came into {product.code}, now version {came.draft.version}: "
        f"{import_preview.summary(looked_at)}. It was one save: one Undo on the Tasks page takes "
        "all of it back."
    )
    for plan in came.plans:
        wrong = len(plan.result.findings)
        rules = f"; it breaks {wrong} rules, see its findings" if wrong else ""
        said += f" The stations of today are plan {plan.number} of line {plan.line}{rules}."
    return said


def _brought_in(job: ImportJob) -> None:
    """Say what the last press brought in, and where to go on."""
    if job.done:
        st.success(plain(job.done), icon=":material/check:")
        show.page_link("tasks", "Go to the tasks")


def _what_comes(job: ImportJob, whole: Preview, looked_at: Preview, unit: TimeUnit) -> None:
    """Show the rows and the report, side by side as tabs."""
    entries = looked_at.imported.report
    errors = sum(entry.severity == Outcome.ERROR for entry in entries)
    out = len(whole.imported.rows) - looked_at.count
    left = f", {out} ticked off" if out else ""
    st.markdown(
        f"**{plain(import_preview.summary(looked_at) or 'Nothing comes in')}**{left}. "
        f"{'1 cell is' if len(entries) == 1 else f'{len(entries)} cells are'} not taken exactly as "
        f"{'it stands' if len(entries) == 1 else 'they stand'}"
        f"{f', {errors} of them cannot be used' if errors else ''}: see the report."
    )
    rows, report = st.tabs(["Rows as they will be", "Report by cell"], key="import.tabs")
    with rows:
        import_preview.removed(looked_at.merge.changes)
        for said in looked_at.merge.notes:
            st.text(said)
        import_preview.rows_table(job, whole, unit)
    with report:
        import_preview.report(job, entries)
