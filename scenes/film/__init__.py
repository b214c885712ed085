"""Timed tellings and the engine that draws them."""
