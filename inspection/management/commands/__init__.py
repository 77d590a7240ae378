"""Commands about what was found."""
