"""Sound becomes text with the time of every word."""

from witnessmark.transcribe.captions import vtt
from witnessmark.transcribe.live import Live
from witnessmark.transcribe.prompt import vocabulary_prompt
from witnessmark.transcribe.whisper import Transcriber

__all__ = ["Live", "Transcriber", "vocabulary_prompt", "vtt"]
