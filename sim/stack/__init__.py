"""Tolerance stack: from one corner to a million, what share of corners passes, and what a limit must be for that."""
