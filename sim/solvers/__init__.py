"""Contact and friction as mathematics; no brake word in them."""
