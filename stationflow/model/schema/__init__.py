"""The tables of a product: every column once, and how its cells are read and written."""
