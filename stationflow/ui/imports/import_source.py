"""Where an import begins: the empty page, the file, and how its sheet is read."""

import streamlit as st

from stationflow.actions.importing.import_sample import SAMPLE, sample_workbook
from stationflow.actions.opening.reading_apart import read_apart
from stationflow.actions.products import product_upkeep
from stationflow.files.foreign.column_mapping import TableKind
from stationflow.files.foreign.foreign_sheet import FileKind
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.foreign.sheets.text_file import read_pasted
from stationflow.model import Severity
from stationflow.ui import session, show
from stationflow.ui.imports import import_job
from stationflow.ui.imports.import_job import ImportJob, kept, kept_field
from stationflow.ui.text import plain

TEXT = "import.text"
SPOILED_LINES = 3
DELIMITERS = {";": "semicolon ;", ",": "comma ,", "\t": "tab", "|": "bar |"}
LESSON = """
- One row of headings, and below it **one row for each task**: a number, what is done, a time.
- Name the **unit of the time** in its heading: s, min, 1/100 min, h or TMU.
- **Predecessors** are the numbers of the tasks that must be finished before, parted by `;`.
- More columns are welcome: line, steps, key points, parts, tools, checks, station of today.
  A parts list comes in the same way.

Nothing has to be perfect. Title rows, decimal commas, totals, empty rows and the like are
recognised; every cell that is not taken exactly as it stands is listed before anything is stored.
"""


def choose_source() -> None:
    """Let the engineer give a file or paste a block; say what a good sheet looks like."""
    upload, paste = st.columns(2, gap="large")
    with upload:
        given = st.file_uploader(
            "Spreadsheet or text table (.xlsx, .csv, .txt)",
            key="import.file",
            help="Up to 20 MB. It is only looked at until you press Bring in.",
        )
        if given is not None:
            with show.errors(), st.spinner("Reading the file"):
                content = given.getvalue()
                file = read_apart(given.name, read_foreign, content, given.name)
                import_job.begin(content, file)
                session.rerun()
    with paste:
        st.text_area(
            "Or paste a block copied from a spreadsheet, with its headings",
            height=104,
            **kept(
                "pasted",
                st.session_state.get(TEXT, ""),
                lambda text: st.session_state.update({TEXT: text}),
            ),
        )
        if st.button("Read the block", key="import.read_block", icon=":material/content_paste:"):
            with show.errors():
                text = st.session_state.get(TEXT, "")
                import_job.begin(b"", read_apart("pasted block", read_pasted, text))
                session.rerun()
    st.markdown("##### What a good sheet looks like")
    lesson, sample = st.columns(2, gap="large")
    lesson.markdown(LESSON)
    with sample:
        heading, *rows = SAMPLE
        st.dataframe(
            [dict(zip(heading, map(str, row), strict=True)) for row in rows],
            hide_index=True,
            alt="A small sheet of tasks as an example",
        )
        st.download_button(
            "Download this sample",
            sample_workbook(),
            file_name="sample-tasks.xlsx",
            icon=":material/download:",
            key="import.sample",
        )


def file_bar(job: ImportJob) -> None:
    """Show which file is open, and let it be put away."""
    file = job.file
    size = f", {max(len(job.content) // 1000, 1)} kB" if job.content else ""
    sheets = f", {len(file.sheets)} sheets" if len(file.sheets) > 1 else ""
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(
            f":material/description: **{plain(file.name)}**  {file.kind.value}{size}{sheets}",
            width="stretch",
        )
        if st.button("Another file", key="import.other", icon=":material/close:"):
            import_job.end()
            session.rerun()
    for finding in file.findings:
        said = f"{plain(finding.message)} {plain(finding.hint)}"
        if finding.severity == Severity.NOTE:
            st.caption(said)
        else:
            st.warning(said)


def own_workbook(job: ImportJob) -> None:
    """Take a product workbook of our own in whole, with pictures and plans."""
    with st.container(border=True):
        st.markdown(
            "**This is a product workbook of Stationflow.** It comes in whole, with steps, "
            "pictures and plans, and no column has to be chosen."
        )
        with st.container(horizontal=True, vertical_alignment="bottom"):
            st.text_input(
                "Other product code",
                max_chars=60,
                width=260,
                help="Only if the code in the workbook is taken.",
                **kept_field(job, "own_code", "new_code"),
            )
            pressed = st.button("Bring in the product", type="primary", key="import.own")
        if pressed:
            with show.errors():
                came = product_upkeep.import_workbook(
                    session.store(), job.content, new_code=job.new_code, by=session.author()
                )
                code = came.draft.product.code
                import_job.end()
                session.open_product(code)
                session.notice(f"{code} is in the store and open.")
                st.switch_page("stationflow/ui/pages/products.py")


def reading(job: ImportJob) -> None:
    """Let the engineer choose sheet, kind of rows, row of headings, encoding and delimiter."""
    is_text = job.file.kind != FileKind.WORKBOOK
    with st.container(horizontal=True, vertical_alignment="bottom"):
        if len(job.file.sheets) > 1:
            _sheet_choice(job)
        st.segmented_control(
            "Each row is",
            list(TableKind),
            required=True,
            format_func=lambda kind: {"tasks": "a task", "parts list": "a part"}[kind.value],
            **kept("kind", job.mapping.kind, lambda kind: job.take_sheet(job.sheet, kind=kind)),
        )
        st.number_input(
            "Row of headings",
            min_value=0,
            max_value=max(len(job.sheet.rows), 1),
            width=150,
            help="Found by its words. 0: there are no headings.",
            **kept(
                "header_row",
                job.mapping.header_row,
                lambda row: job.take_sheet(job.sheet, job.mapping.kind, int(row)),
            ),
        )
        if is_text and job.content:
            st.selectbox(
                "Encoding",
                job.file.encodings,
                width=170,
                help="Choose another if letters look wrong in the first lines.",
                **kept(
                    "encoding",
                    job.file.encoding,
                    lambda chosen: job.read_again(chosen, job.file.delimiter),
                ),
            )
            st.selectbox(
                "Cells are parted by",
                job.file.delimiters,
                width=170,
                format_func=lambda d: DELIMITERS.get(d, d),
                **kept(
                    "delimiter",
                    job.file.delimiter,
                    lambda chosen: job.read_again(job.file.encoding, chosen),
                ),
            )
    lines = [line for line in job.file.sample.splitlines() if not line.isascii()]
    if is_text and job.content and lines:
        st.caption("Lines with letters that a wrong encoding would spoil, as they are read now:")
        st.code("\n".join(lines[:SPOILED_LINES]), language=None)


def _sheet_choice(job: ImportJob) -> None:
    """Let the engineer choose a sheet of a workbook."""
    sheets = {sheet.name: sheet for sheet in job.file.sheets}

    def label(name: str) -> str:
        sheet = sheets[name]
        return f"{name}, {len(sheet.rows)} rows{', hidden' if sheet.is_hidden else ''}"

    st.selectbox(
        "Sheet",
        list(sheets),
        width=280,
        format_func=label,
        **kept("sheet", job.sheet.name, lambda name: job.take_sheet(sheets[name])),
    )
