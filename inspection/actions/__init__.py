"""The verbs of inspection, one file each."""
