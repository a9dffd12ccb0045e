"""Spreadsheets of strangers: read without losing or silently changing anything.

The steps have rooms, each of which imports only those before it: `sheets/` (raw cells), `columns/`
(headings, and what the cells below them hold), `rows/` (tasks and parts). What they hand on, and
what comes of it, stands beside them and imports none of them.
"""
