"""Readings to causes: ranked with probabilities, what each cure would leave, the next reading worth its minutes."""
