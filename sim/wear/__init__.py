"""Kilometres: taps, thickness variation, judder, how sure."""
