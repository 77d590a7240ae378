"""What is asked on the pages of a job's people and settings."""
