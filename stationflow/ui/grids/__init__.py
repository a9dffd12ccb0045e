"""Editable tables and single fields whose edits are stored at once."""
