"""What a password has to be, and how it is kept."""

from __future__ import annotations

import subprocess
import sys
import unicodedata

import pytest

from witnessmark.desk.access import passwords
from witnessmark.desk.problems import Refused

KEPT = "from witnessmark.desk.access.passwords import hashed; print(hashed('seven brass washers'))"


def test_it_is_kept_as_the_standard_has_it() -> None:
    """RFC 9106, section 4, second recommended option: Argon2id, t=3, p=4, m=2^16 KiB, 128-bit salt."""
    kept = subprocess.run([sys.executable, "-c", KEPT], capture_output=True, text=True, check=True).stdout
    _, kind, version, parameters, salt, tag = kept.strip().split("$")
    assert (kind, version, parameters) == ("argon2id", "v=19", "m=65536,t=3,p=4")
    assert len(salt) == 22  # 16 bytes in base 64
    assert len(tag) == 43  # 32 bytes


@pytest.mark.parametrize("wrong", ["", "short", "x" * 201, "aaaaaaaaaaaa", "ababababABAB", "1212121212"])
def test_a_poor_one_is_refused(wrong: str) -> None:
    with pytest.raises(Refused) as told:
        passwords.hashed(wrong)
    assert told.value.status == 422


def test_only_the_same_fits() -> None:
    kept = passwords.hashed("seven brass washers")
    assert passwords.fits(kept, "seven brass washers")
    assert not passwords.fits(kept, "seven brass washer")
    assert not passwords.fits(None, "seven brass washers")


def test_one_letter_written_in_two_ways_fits() -> None:
    word = "drei Mütter, süß"
    assert passwords.fits(
        passwords.hashed(unicodedata.normalize("NFC", word)), unicodedata.normalize("NFD", word)
    )


def test_a_name_that_is_not_known_takes_as_long(monkeypatch: pytest.MonkeyPatch) -> None:
    looked = []
    hasher = passwords._hasher()

    class Counting:
        def verify(self, kept: str, password: str) -> bool:
            looked.append(kept)
            return hasher.verify(kept, password)

        hash = hasher.hash

    monkeypatch.setattr(passwords, "_hasher", Counting)
    passwords.fits(None, "seven brass washers")
    passwords.fits(hasher.hash("other words here"), "seven brass washers")
    assert len(looked) == 2
    assert {kept.split("$")[1] for kept in looked} == {"argon2id"}
