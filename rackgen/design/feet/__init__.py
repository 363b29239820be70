"""Feet by what they stand on, one builder a file."""
