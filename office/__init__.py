"""Paper and exchange: import, export, packages and start pages."""
