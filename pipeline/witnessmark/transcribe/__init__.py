"""transcribe stage."""
