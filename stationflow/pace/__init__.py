"""Calendar and demand to takt, operating takt, station time and capacity."""
