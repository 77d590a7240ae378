"""What is asked on the pages of joints, one file a record."""
