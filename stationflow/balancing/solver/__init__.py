"""CP-SAT as the engine for limits that our own search does not keep, in a process of its own."""
