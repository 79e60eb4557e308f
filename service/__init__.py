"""Girthwright: made-to-measure leather dog collars, from a neck to a pattern and a price."""
