"""The web API of `office`: thin views that parse, call one query or action, and answer JSON."""
