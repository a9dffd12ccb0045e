"""Columns: which holds what, by its heading and its cells, and what each of its cells says."""
