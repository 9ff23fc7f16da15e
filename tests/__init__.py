"""Tests mirror service/ellwand; `synthetic` makes sittings with known truth."""
