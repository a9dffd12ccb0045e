"""Plans by hand: moves, why a place is refused, and what comes of them."""
