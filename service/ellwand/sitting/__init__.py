"""The state of a sitting, its file, and what can be done to it."""
