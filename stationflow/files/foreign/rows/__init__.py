"""Rows: which are tasks or parts, which are sums and groups, and the task or part of each."""
