"""cli stage."""
