"""Pure geometry, floats in and out: no presets, no parts, no files."""
