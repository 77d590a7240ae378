"""Telling programs elsewhere what happened: where one may be told, how it is signed, and what becomes of it."""
