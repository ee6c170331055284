"""record stage."""
