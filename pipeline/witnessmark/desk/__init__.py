"""The web pages: capture, review, the machine, the workshop. Composition only."""
