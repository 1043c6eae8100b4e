"""Benchmarks: each module measures one thing and says how it compares, as ratios in one run.

A module of this folder that has a function ``run() -> dict`` is a benchmark. The
dictionary holds ``rows`` (a list of measured cases) and ``ratios`` (name to number);
anything else in it is kept as it is.
"""
