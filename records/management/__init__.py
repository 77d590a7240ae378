"""Commands about what is known."""
