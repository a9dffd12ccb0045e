"""What pages and commands show; nothing is written."""
