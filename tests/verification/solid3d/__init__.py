"""A three-dimensional finite-element seating, built and read without one line of the program that it checks."""
