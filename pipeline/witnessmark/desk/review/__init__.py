"""The review page: the queue, the words, the sound, and decisions."""
