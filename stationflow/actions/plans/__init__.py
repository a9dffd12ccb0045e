"""Balance lines, keep plans and look after them."""
