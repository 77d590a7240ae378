"""The verbs of office, one file each."""
