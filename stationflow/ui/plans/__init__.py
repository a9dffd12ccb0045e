"""Plans on the Balance, Compare and Cards pages."""
