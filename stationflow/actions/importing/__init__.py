"""Bring strangers' spreadsheets into the store."""
