"""capture stage."""
