"""A rotor that does not bend."""
