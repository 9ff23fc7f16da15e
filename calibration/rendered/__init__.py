"""Rendered photos to learn from and, apart from them, to be tried on; none of them is kept here."""
