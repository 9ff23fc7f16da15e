"""Confirmed numbers to a size and a plan."""
