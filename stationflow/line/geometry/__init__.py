"""Places, lengths and times of lines: speeds, feeder leads, carriers, filling, parallel lines."""
