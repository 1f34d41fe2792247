"""Benchmarks: ratios measured in one run."""
