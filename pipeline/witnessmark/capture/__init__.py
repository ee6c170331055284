"""A sound file becomes samples and a hash; the same samples become the file that reviewers hear."""

from witnessmark.capture.decode import capture, level
from witnessmark.capture.growing import growing
from witnessmark.capture.playback import write_playback

__all__ = ["capture", "growing", "level", "write_playback"]
