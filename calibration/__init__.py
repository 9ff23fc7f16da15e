"""How the girth model was fitted: an open parametric body model, its sections, the fit."""
