"""Writing the files of a pack."""
