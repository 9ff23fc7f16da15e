"""Pixels to facts about pixels: intake, quality, reference objects, landmarks, outline."""
