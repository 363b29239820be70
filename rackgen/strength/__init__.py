"""How much a rack carries: its frame as beams, load cases, resistances, and the rating that follows."""
