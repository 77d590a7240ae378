"""The web API of `joints`: the plan, and the records of fitting and welding."""
