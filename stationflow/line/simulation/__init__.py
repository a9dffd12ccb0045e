"""The line in motion: unit by unit, with stops, scatter, test and repair, soak and shortages.

`flow_model.py` says what moves where and knows no product; `flow_kernel.py` is the compiled loop
over its events; `replications.py` repeats runs and says how sure the answer is.
"""
