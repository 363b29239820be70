"""Fittings of a rack, one builder a file."""
