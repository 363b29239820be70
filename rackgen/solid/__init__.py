"""Parts as exact solids; the only package that loads the CAD kernel."""
