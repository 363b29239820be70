"""The packet: one HTML file with the rack turning in it and every sheet of its pack."""
