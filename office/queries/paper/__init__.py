"""What is known, as the plain data that papers are made of, in the job's units and words."""
