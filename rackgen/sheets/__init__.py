"""What the shop reads, as plain data: lists, marks and flat patterns."""
