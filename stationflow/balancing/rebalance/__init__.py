"""From an old plan to a new one with the least upheaval."""
