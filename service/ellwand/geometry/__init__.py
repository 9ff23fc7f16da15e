"""Pixels to millimetres: camera, wall, levels."""
