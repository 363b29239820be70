"""The programs a person runs."""
