"""Machines that are no stations: how many, how busy, and where units wait."""
