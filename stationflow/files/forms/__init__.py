"""The forms in which documents were stored over time, and the steps from each to the next."""
