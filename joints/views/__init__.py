"""The pages of joints, one file each."""
