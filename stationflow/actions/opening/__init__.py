"""Open products, wherever they come from."""
