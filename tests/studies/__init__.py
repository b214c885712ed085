"""Coverage studies of bands and verdicts: run by command, never collected; each keeps its table beside it."""
