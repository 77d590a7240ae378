"""The questions of office, one file each."""
