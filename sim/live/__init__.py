"""The live bench: one corner changed by hand and solved at once, exercises with a hidden fault, a class that bets."""
