"""assess stage."""
