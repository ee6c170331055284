"""A tokenizer whose first merge was lost cuts words as the model learnt them again."""

from __future__ import annotations

import json

import pytest

from witnessmark.transcribe import Transcriber

pytestmark = pytest.mark.speech
SAID = " The tyre's tread, two to ten thou; torque the top three tight."


def test_a_lost_merge_is_found_again(tiny: Transcriber) -> None:
    from witnessmark.transcribe.engine import mended

    whole = tiny._engine.hf_tokenizer
    broken = json.loads(whole.to_str())
    broken["model"]["merges"].remove(["Ġ", "t"])
    broken_one = type(whole).from_str(json.dumps(broken))
    assert broken_one.encode(SAID).ids != whole.encode(SAID).ids
    assert mended(broken_one).encode(SAID).ids == whole.encode(SAID).ids


def test_a_whole_tokenizer_stays(tiny: Transcriber) -> None:
    from witnessmark.transcribe.engine import mended

    whole = tiny._engine.hf_tokenizer
    assert mended(whole) is whole


@pytest.mark.full
def test_the_default_weights_cut_words_like_the_tiny_ones(tiny: Transcriber) -> None:
    """Both models have the same words in their vocabularies."""
    ours, theirs = Transcriber()._engine.hf_tokenizer, tiny._engine.hf_tokenizer
    cut = [[t.id_to_token(i) for i in t.encode(SAID, add_special_tokens=False).ids] for t in (ours, theirs)]
    assert cut[0] == cut[1]
