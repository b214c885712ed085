"""Bore on spigot: free, wedged, jammed, forced home."""
