"""Reports of the whole line and fault cards of its tests, on paper."""
