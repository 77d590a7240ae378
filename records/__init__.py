"""What is known about a job: its models, its journal and who may do what."""
