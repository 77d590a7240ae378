"""The pages of office, one file each."""
