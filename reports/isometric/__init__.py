"""Piping isometrics: a route in space becomes one drawing on sheets of paper and on the screen."""
