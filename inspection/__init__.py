"""Examining: plans, lots, results, repairs and releases."""
