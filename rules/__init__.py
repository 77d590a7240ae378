"""The trade's rules: plain values in, requirements, findings and verdicts with their source out."""
