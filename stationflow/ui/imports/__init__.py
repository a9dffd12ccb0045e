"""The Import page, step by step."""
