"""The questions of joints, one file each."""
