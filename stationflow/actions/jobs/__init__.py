"""Long runs in processes of their own."""
