"""ellwand: two photos and a tape become measurements with error bounds, a size and a card."""
