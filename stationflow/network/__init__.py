"""The tree of lines: feeders, joins, rates."""
