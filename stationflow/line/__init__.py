"""The whole line: feeders and their joins, machines, test and repair."""
