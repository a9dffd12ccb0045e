"""What the Products page shows."""
