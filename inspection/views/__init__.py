"""The pages of inspection, one file each."""
