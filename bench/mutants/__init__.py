"""Mutants of the rules: one small change at a time, and whether a test of the rules notices it."""
