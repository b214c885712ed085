"""From readings to a cure."""
