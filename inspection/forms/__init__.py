"""What is asked on the pages of inspection, one file a record."""
