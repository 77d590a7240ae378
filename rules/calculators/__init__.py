"""The trade calculators: named values as text in, a result with its arithmetic and source out."""
