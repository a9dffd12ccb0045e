"""Stations against cycle: the shortest cycle time of every number of stations."""
