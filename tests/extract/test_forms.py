"""Figures in all their forms, said by an independent library or from lists, come back as they were meant."""

from __future__ import annotations

from itertools import islice

import pytest

from . import forms
from .forms import FORMS, Form


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_the_share_read_right_holds(form: Form) -> None:
    right, tried = form.share()
    assert tried
    if right / tried < form.floor:
        some = "\n".join(
            f"{said} gave {found}, not {value}" for said, found, value in islice(forms.wrong(form.name), 9)
        )
        pytest.fail(f"{right} of {tried} right\n{some}")
