"""Solved seatings for a page that solves nothing: tables, their error off the nodes, how both parts move."""
