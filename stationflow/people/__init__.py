"""People at the line: lifting by hand."""
