"""Make, save, copy and archive products."""
