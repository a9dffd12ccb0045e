"""What the Line page shows and takes in."""
