"""Where labels go: candidate positions, what stands in whose way, and the choice of one position for each label."""
