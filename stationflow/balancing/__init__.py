"""Balancing: which task at which station, how good, and how far from the best."""
