"""The rotor clamped on the hub face, and what the dial reads."""
