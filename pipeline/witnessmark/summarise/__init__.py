"""summarise stage."""
