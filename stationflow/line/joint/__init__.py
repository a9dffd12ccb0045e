"""All lines of a product balanced at once: which task on which line, and at which station."""
