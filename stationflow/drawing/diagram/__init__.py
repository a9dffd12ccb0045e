"""The precedence diagram: columns, lanes, boxes."""
