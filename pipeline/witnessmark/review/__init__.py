"""review stage."""
