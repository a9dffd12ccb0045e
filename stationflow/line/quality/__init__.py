"""Quality flow: yields, test and repair, soak, sampling, packing, faults."""
