"""What is on the bench, as checked values with range and source; no mechanics."""
