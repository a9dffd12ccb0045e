"""What differs between two states of a product, and how it is said."""
