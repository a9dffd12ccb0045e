"""The numbers of a balance opened, and why it cannot be less."""
