"""Parts as numpy triangles, made without the CAD kernel."""
