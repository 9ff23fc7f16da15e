"""Scripts that make the demo photos of invented women from an open parametric body model."""
