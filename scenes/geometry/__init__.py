"""Outlines, meshes, how far things move in a picture."""
