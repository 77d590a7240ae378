"""Benchmarks on PostgreSQL, each held against a floor measured in the same run."""
