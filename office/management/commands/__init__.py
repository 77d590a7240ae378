"""Commands of paper and exchange."""
