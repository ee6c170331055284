"""A recording on its way in: chunks, live reading, and the queue of the transcriber."""
