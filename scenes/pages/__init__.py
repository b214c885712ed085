"""HTML and PDF."""
