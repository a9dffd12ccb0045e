"""What the Pace page shows."""
