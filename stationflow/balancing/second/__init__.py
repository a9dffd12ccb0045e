"""A second, independent solver asked about an answer."""
