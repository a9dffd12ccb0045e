"""Spreadsheets of strangers: read without losing or silently changing anything."""
