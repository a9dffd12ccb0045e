"""A product as a folder or as a workbook."""
