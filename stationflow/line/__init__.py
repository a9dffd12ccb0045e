"""The whole line: feeders, machines, tests and repair, stops, flow."""
