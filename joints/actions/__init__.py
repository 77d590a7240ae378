"""The verbs of joints, one file each."""
