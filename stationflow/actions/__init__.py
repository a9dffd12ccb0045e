"""What the engineer does, one function each; the only writers of the store."""
