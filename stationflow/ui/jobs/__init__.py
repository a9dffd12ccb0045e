"""Long runs beside the pages."""
