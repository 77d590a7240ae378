"""The web API as a whole: its router, its schema and its pages."""
