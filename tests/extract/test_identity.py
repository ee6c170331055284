"""Registration, VIN and odometer."""

from __future__ import annotations

import pytest

from witnessmark.extract import extract
from witnessmark.extract.identity import vin_checks
from witnessmark.knowledge.identity import identity

from .forms import LETTERS, spelled
from .reading import Case, cases, lines_of, params


@pytest.mark.parametrize("case", cases("identity"))
def test_the_machine(case: Case) -> None:
    case.check()


VALID = (
    # worked samples published with the check digit rule of 49 CFR 565.15(c)
    "1G4AH59H45G118341",
    "1M8GDM9AXKP042788",
    # computed by that rule
    "11111111111111111",
    "5GZCZ43D13S812715",
)
INVALID = {
    "1M8GDM9A0KP042788": "position 9 is 0, not X",
    "1G4AH59H54G118341": "4 and 5 changed places",
    "1G4AH59H45G11834I": "the letter I",
    "1G4AH59H45G11834O": "the letter O",
    "1G4AH59H45G11834Q": "the letter Q",
    "1M8GDM9AXKP04278": "16 characters",
    "1M8GDM9AXKP0427888": "18 characters",
}


@pytest.mark.parametrize("vin", VALID)
def test_vin_with_its_check_digit(vin: str) -> None:
    assert vin_checks(vin)


@pytest.mark.parametrize("vin", INVALID)
def test_vin_without_it(vin: str) -> None:
    assert not vin_checks(vin)


def test_zeros_only_are_no_vin() -> None:
    """The check digit passes, but 0 is no model-year code (49 CFR 565.15, table VII; from memory)."""
    assert not vin_checks("0" * 17)


@pytest.mark.parametrize("vin", VALID)
def test_a_spelled_vin_without_doubt(vin: str) -> None:
    machine = extract(f"VIN {spelled(vin)}. Horn works.", jurisdiction="US").machine
    assert machine.vin == vin
    assert "vin_check" not in [doubt.kind for doubt in machine.doubts]


@pytest.mark.parametrize("vin", ["1M8GDM9A0KP042788", "1G4AH59H54G118341", "1M8GDM9AXKP04278"])
def test_a_spelled_vin_in_doubt(vin: str) -> None:
    machine = extract(f"VIN {spelled(vin)}. Horn works.", jurisdiction="US").machine
    assert machine.vin == vin
    assert "vin_check" in [doubt.kind for doubt in machine.doubts]


@pytest.mark.parametrize(("letter", "word"), LETTERS.items())
def test_spelling_alphabet(letter: str, word: str) -> None:
    """ICAO Annex 10 vol. II; X-ray is two tokens, see the spelled VINs."""
    if letter != "X":
        assert identity().letters[word] == letter
    assert lines_of(f"Registration {spelled(f'{letter}12ABC')}.", "NZ") == [f"= registration {letter}12ABC"]


@pytest.mark.parametrize(
    ("word", "letter"),
    [
        ("alpha", "A"),
        ("juliet", "J"),
        ("whisky", "W"),
        ("xray", "X"),
        ("able", "A"),
        ("baker", "B"),
        ("sugar", "S"),
    ],
)
def test_other_spellings(word: str, letter: str) -> None:
    """Variants that recognisers print (the first four), and older British and American ones (from memory)."""
    assert identity().letters[word] == letter


REGISTRATIONS = {
    # GB registration leaflet INF104 and registration histories: formats and letters never used
    "AB12CDE": True,
    "DE51YRE": True,
    "SK54MPK": True,
    "AB01CDE": False,
    "IB12CDE": False,
    "AZ12CDE": False,
    "AB12CDI": False,
    "AB12CDZ": True,
    "K50WTB": True,
    "X666EON": True,
    "Q123ABC": True,
    "U12ABC": False,
    "I5ABC": False,
    "EDW412D": True,
    "A1": True,
    "1234AB": True,
    "ABC123": True,
    "IAZ1234": True,
    "123D456": True,
}


@pytest.mark.parametrize("mark", params(REGISTRATIONS, "A1", "123D456"))
def test_gb_registration(mark: str) -> None:
    """A form that is never issued is kept as said and marked."""
    machine = extract(f"Registration {spelled(mark)}. Horn works.", jurisdiction="GB").machine
    assert machine.registration == mark
    assert ("registration_form" in [doubt.kind for doubt in machine.doubts]) != REGISTRATIONS[mark]


@pytest.mark.parametrize("country", ["DE", "IN", "NZ", None])
def test_elsewhere_the_form_is_free(country: str | None) -> None:
    machine = extract("Registration alpha bravo zero one charlie delta echo.", jurisdiction=country).machine
    assert machine.registration == "AB01CDE"
    assert machine.doubts == ()


@pytest.mark.parametrize(
    ("said", "value", "unit", "country"),
    [
        ("14,230 miles.", 14_230, "mi", "GB"),
        ("14,230 miles.", 14_230, "mi", "DE"),
        ("Fourteen thousand two hundred and thirty on the clock.", 14_230, "mi", "GB"),
        ("Fourteen thousand two hundred and thirty on the clock.", 14_230, "km", "IE"),
        ("Fourteen thousand two hundred and thirty on the clock.", 14_230, "mi", "US"),
        ("Fourteen thousand two hundred and thirty on the clock.", 14_230, "mi", "US-MD"),
        ("Odometer 18,400 km.", 18_400, "km", "GB"),
    ],
)
def test_odometer(said: str, value: float, unit: str, country: str) -> None:
    clock = extract(said, jurisdiction=country).machine.odometer
    assert clock is not None
    assert (clock.value, clock.unit) == (value, unit)


@pytest.mark.parametrize(
    "said", ["Oil is due in 500 miles.", "Serviced every 6,000 miles.", "Horn works.", ""]
)
def test_no_odometer(said: str) -> None:
    assert extract(said, jurisdiction="GB").machine.odometer is None


def test_a_printed_registration_right_before_the_vin() -> None:
    """Capitals alone announce no registration: "CB 500 F" is a model."""
    machine = extract("White twin, FX 2207 K, VIN 1M8GDM9AXKP042788, 18,220 km.", jurisdiction="SG").machine
    assert machine.registration == "FX2207K"
    assert extract("Red CB 500 F, front tyre is 2 mm.", jurisdiction="SG").machine.registration is None


@pytest.mark.parametrize(
    ("said", "mark", "country"),
    [
        ("VIN 7YZ1R62H7NC018832, plate 48K 117, odometer 26,554 miles.", "48K117", "US"),
        ("Rego 1ABC 234, tyres are good.", "1ABC234", "AU"),
        ("Rego 1ABC, 234.", "1ABC234", "AU"),
    ],
)
def test_printed_registrations_in_parts(said: str, mark: str, country: str) -> None:
    assert extract(said, jurisdiction=country).machine.registration == mark


@pytest.mark.parametrize(
    ("said", "value"),
    [("14,800 and 65 miles.", 14_865), ("31k on the clock.", 31_000), ("Clock says 14 2.", 14_200)],
)
def test_a_distance_in_groups_is_doubtful(said: str, value: float) -> None:
    machine = extract(said, jurisdiction="GB").machine
    assert machine.odometer is not None
    assert machine.odometer.value == value
    assert [doubt.kind for doubt in machine.doubts] == ["grouped_distance"]
