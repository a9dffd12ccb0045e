"""Parts at the stations: the parts list, containers and what may run out."""
