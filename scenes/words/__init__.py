"""What is said: one term, one sentence, one caution."""
