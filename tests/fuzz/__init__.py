"""Hostile input by one command: `python -m tests.fuzz`."""
