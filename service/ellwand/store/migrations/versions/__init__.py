"""One step each."""
