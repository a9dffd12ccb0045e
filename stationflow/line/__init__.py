"""The whole line at one pace: geometry, machines, quality, throughput, simulation."""
