"""What a line gives when stations stop and times scatter, and what a buffer place is worth."""
