"""The questions of inspection, one file each."""
