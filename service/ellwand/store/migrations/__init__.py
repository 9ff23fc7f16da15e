"""How the tables became what they are."""
