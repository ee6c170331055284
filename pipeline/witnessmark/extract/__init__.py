"""extract stage."""
