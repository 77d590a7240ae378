"""The web API of `inspection`: plans, results, decisions, signatures and findings."""
