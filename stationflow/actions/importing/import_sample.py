"""A small sheet that shows what a good list of tasks looks like."""

import io

SAMPLE = (
    ("No.", "Task", "Time (s)", "Predecessors", "Station"),
    ("10", "Place base in jig", 12.5, "", "1"),
    ("20", "Fit motor to base", 24, "10", "1"),
    ("30", "Plug motor cable", 9, "20", "2"),
    ("40", "Fit cover, 4 screws", 31, "20; 30", "2"),
)
"""Headings, then rows. Invented."""


def sample_workbook() -> bytes:
    """Return the sample as a workbook."""
    import xlsxwriter

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False}) as book:
        bold = book.add_format({"bold": True})
        sheet = book.add_worksheet("Tasks")
        for row, cells in enumerate(SAMPLE):
            for column, cell in enumerate(cells):
                sheet.write(row, column, cell, bold if row == 0 else None)
        sheet.set_column(1, 1, 30)
        sheet.freeze_panes(1, 0)
    return out.getvalue()
