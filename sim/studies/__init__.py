"""The findings, and the closed forms held against the whole."""
