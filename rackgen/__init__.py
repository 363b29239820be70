"""Vehicle roof racks from tube, flat bar and plate: preset files in, a pack for the shop out."""

__version__ = "0.1.0"
