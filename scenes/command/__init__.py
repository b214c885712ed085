"""The line, the terminal, nothing else."""
