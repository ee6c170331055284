"""The machine page and the workshop page."""
