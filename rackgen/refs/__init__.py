"""Numbers that come from outside the project, each with its source."""
