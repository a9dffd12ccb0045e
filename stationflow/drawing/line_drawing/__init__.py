"""The drawing of the whole line: main line, feeders, machines, tests, repair, soak and packing."""
