"""Sound becomes text with the time of every word."""

from witnessmark.transcribe.captions import vtt
from witnessmark.transcribe.prompt import vocabulary_prompt
from witnessmark.transcribe.whisper import Transcriber

__all__ = ["Transcriber", "vocabulary_prompt", "vtt"]
