"""Millimetres to girths and lengths with bounds: model, budget, posterior."""
