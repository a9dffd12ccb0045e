"""The search of lines with limits."""
