"""Text and tables that people write and read."""
