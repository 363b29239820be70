"""What gets made: the kinds of part, their end cuts, the joints between them, and the rack they form."""
