"""Every row of the table of defects that a walkround can meet: EU letter and, where it was seen, the GB one.

EU: Annex I to Directive 2014/45/EU, mostly from memory (items 0.1, 0.2 and 5.1.3 read). GB: inspection manual
for motorcycles, read where a letter stands. A ladder has its lower rung without a word of extent, its upper
with one.
"""

from __future__ import annotations

import pytest

from witnessmark.types import Grade

from .making import of_finding

M, MA, D = Grade.MINOR, Grade.MAJOR, Grade.DANGEROUS

ROWS = [
    ("0.1 a", "number_plate", "missing", "", MA),
    ("0.1 b", "number_plate", "damage", "can't be read", MA),
    ("0.1 c", "number_plate", "wrong_part", "", MA),
    ("1.1.1 a", "brake_lever", "stiff", "", MA),
    ("1.1.1 b", "brake_pedal", "play", "", MA),
    ("1.1.2 a", "brake_lever", "play", "comes to the bar", MA),
    ("1.1.2 b", "brake_lever", "delayed", "", M),
    ("1.1.2 b", "brake_lever", "delayed", "the brake stays on", MA),
    ("1.1.2 c", "brake_pedal", "worn", "the rubber is smooth", MA),
    ("1.1.10 b", "master_cylinder", "worn", "", MA),
    ("1.1.10 b", "master_cylinder", "leak", "", D),
    ("1.1.10 c", "master_cylinder", "loose", "", MA),
    ("1.1.10 c", "master_cylinder", "loose", "very loose", D),
    ("1.1.10 d", "brake_fluid", "low", "a touch under", M),
    ("1.1.10 d", "brake_fluid", "low", "way under", MA),
    ("1.1.10 d", "brake_fluid", "low", "it is empty", D),
    ("1.1.10 e", "master_cylinder", "missing", "the cap is missing", M),
    ("1.1.11 a", "brake_hose", "leak", "the steel pipe is leaking", D),
    ("1.1.11 c", "brake_hose", "corrosion", "", MA),
    ("1.1.11 c", "brake_hose", "corrosion", "badly corroded", D),
    ("1.1.12 a", "brake_hose", "damage", "about to burst", D),
    ("1.1.12 b", "brake_hose", "chafed", "", M),
    ("1.1.12 b", "brake_hose", "chafed", "badly chafed", MA),
    ("1.1.12 c", "brake_hose", "leak", "", MA),
    ("1.1.12 c", "brake_hose", "leak", "it's pouring out", D),
    ("1.1.12 d", "brake_hose", "bulge", "", MA),
    ("1.1.12 d", "brake_hose", "bulge", "bulging badly", D),
    ("1.1.13 a", "brake_pads", "worn", "", MA),
    ("1.1.13 a", "brake_shoes", "worn", "down to the metal", D),
    ("1.1.13 b", "brake_pads", "contamination", "", MA),
    ("1.1.13 b", "brake_pads", "contamination", "completely soaked", D),
    ("1.1.13 c", "brake_pads", "missing", "", D),
    ("1.1.14 a", "brake_disc", "worn", "", MA),
    ("1.1.14 a", "brake_disc", "crack", "", D),
    ("1.1.14 a", "brake_disc", "scoring", "heavily scored", D),
    ("1.1.14 b", "brake_disc", "contamination", "", MA),
    ("1.1.15 a", "brake_linkage", "damage", "", MA),
    ("1.1.15 a", "brake_linkage", "damage", "seriously damaged", D),
    ("1.1.15 b", "brake_linkage", "worn", "", MA),
    ("1.1.15 e", "brake_linkage", "stiff", "", MA),
    ("1.1.16 a", "brake_caliper", "crack", "", MA),
    ("1.1.16 b", "brake_caliper", "leak", "", MA),
    ("1.1.16 d", "brake_caliper", "corrosion", "", MA),
    ("1.1.16 f", "brake_caliper", "damage", "the boot is torn", M),
    ("1.1.16 f", "brake_caliper", "missing", "the boot is missing", MA),
    ("1.2.1 a", "brakes", "low", "", MA),
    ("1.2.1 a", "brakes", "inoperative", "", D),
    ("1.2.1 e", "brake_lever", "judder", "", MA),
    ("1.6 b", "abs", "fault_code", "", MA),
    ("1.6 c", "abs", "missing", "", MA),
    ("1.8", "brake_fluid", "contamination", "", MA),
    ("1.8", "brake_fluid", "contamination", "badly contaminated", D),
    ("2.2.1", "handlebar", "loose", "", MA),
    ("2.2.1", "handlebar", "loose", "very loose", D),
    ("2.2.2", "yoke", "loose", "", MA),
    ("2.2.2", "fork", "wrong_part", "", D),
    ("2.3", "head_bearing", "play", "", MA),
    ("2.3", "head_bearing", "play", "massive play", D),
    ("3.3 a", "mirror", "missing", "", M),
    ("3.3 b", "mirror", "crack", "", M),
    ("3.3 b", "mirror", "loose", "it's useless", MA),
    ("4.1.1 a", "headlight_dip", "inoperative", "one of four LEDs dead", M),
    ("4.1.1 a", "headlight_dip", "inoperative", "", MA),
    ("4.1.1 b", "headlight_main", "crack", "", M),
    ("4.1.1 b", "headlight_main", "crack", "badly cracked", MA),
    ("4.1.1 c", "headlight_dip", "loose", "", MA),
    ("4.1.2", "headlight_dip", "misaligned", "", MA),
    ("4.1.3", "switchgear", "inoperative", "the dip switch", M),
    ("4.2.1 a", "position_light", "inoperative", "", MA),
    ("4.3.1 a", "brake_light", "inoperative", "one bulb is out", M),
    ("4.3.1 a", "brake_light", "inoperative", "", MA),
    ("4.3.1 a", "brake_light", "inoperative", "no brake light from either control", D),
    ("4.3.1 b", "brake_light", "crack", "", M),
    ("4.3.2 a", "brake_light_switch", "out_of_adjustment", "", M),
    ("4.3.2 a", "brake_light_switch", "delayed", "", MA),
    ("4.3.2 a", "brake_light_switch", "inoperative", "neither of them", D),
    ("4.4.1 a", "indicator", "inoperative", "", MA),
    ("4.4.1 a", "indicator", "inoperative", "some of the LEDs", M),
    ("4.4.1 b", "indicator", "crack", "", M),
    ("4.4.2 a", "switchgear", "inoperative", "the indicator switch", MA),
    ("4.4.4", "indicator", "high", "", M),
    ("4.7.1", "plate_light", "inoperative", "", MA),
    ("4.8.1", "reflector", "damage", "", M),
    ("4.8.1", "reflector", "missing", "", MA),
    ("4.9.1", "warning_lamp", "inoperative", "", M),
    ("4.9.1", "warning_lamp", "inoperative", "the main beam one", MA),
    ("4.11 a", "wiring", "loose", "", M),
    ("4.11 c", "wiring", "damage", "", M),
    ("4.11 c", "wiring", "damage", "bare wires on the exhaust", MA),
    ("4.11 c", "wiring", "damage", "it's burnt", D),
    ("4.13 a", "battery", "loose", "", M),
    ("4.13 a", "battery", "loose", "very loose", MA),
    ("4.13 b", "battery", "leak", "", M),
    ("5.1.3 a", "wheel_bearing", "play", "", MA),
    ("5.1.3 a", "wheel_bearing", "play", "excessive play", D),
    ("5.1.3 b", "wheel_bearing", "notchy", "", MA),
    ("5.2.1 a", "wheel", "loose", "", MA),
    ("5.2.1 a", "wheel", "missing", "several are missing", D),
    ("5.2.2 a", "wheel", "crack", "", D),
    ("5.2.2 c", "wheel", "misaligned", "", MA),
    ("5.2.2 c", "wheel", "misaligned", "badly out", D),
    ("5.2.3 a", "tyre", "wrong_part", "", MA),
    ("5.2.3 d", "tyre", "cut", "", MA),
    ("5.2.3 d", "tyre", "cut", "down to the cord", D),
    ("5.2.3 e", "tyre", "worn", "on the wear bars", MA),
    ("5.2.3 f", "tyre", "chafed", "", M),
    ("5.2.3 f", "tyre", "chafed", "badly", MA),
    ("5.3.2 b", "shock", "leak", "", MA),
    ("5.3.3 b", "swingarm", "corrosion", "", MA),
    ("5.3.3 b", "swingarm", "crack", "", D),
    ("5.3.4 a", "swingarm", "play", "", MA),
    ("5.3.4 a", "swingarm", "play", "massive play", D),
    ("6.1.1", "frame", "crack", "", MA),
    ("6.1.1", "frame", "crack", "badly cracked", D),
    ("6.1.2", "exhaust", "leak", "", MA),
    ("6.1.3 b", "fuel_system", "leak", "", MA),
    ("6.1.3 b", "fuel_system", "leak", "dripping on the engine", D),
    ("6.1.3 a", "fuel_system", "loose", "", D),
    ("6.1.7 c", "chain", "worn", "", MA),
    ("6.1.7 c", "chain", "worn", "about to snap", D),
    ("6.1.8", "engine", "loose", "", MA),
    ("6.2.10", "mudguard", "loose", "", M),
    ("6.2.10", "mudguard", "loose", "hanging off", MA),
    ("6.2.11", "side_stand", "loose", "", M),
    ("6.2.11", "side_stand", "loose", "it drops", MA),
    ("6.2.12", "footrest", "loose", "", M),
    ("7.7", "horn", "inoperative", "", MA),
    ("7.7", "horn", "low", "", M),
    ("7.8", "instruments", "intermittent", "", M),
    ("7.8", "instruments", "inoperative", "", MA),
    ("8.1.1", "exhaust", "missing", "", MA),
    ("8.1.1", "exhaust", "loose", "about to fall off", D),
    ("8.4.1", "engine", "leak", "", MA),
    ("8.4.1", "engine", "leak", "a steady drip", D),
]


@pytest.mark.parametrize(("item", "component", "condition", "words", "grade"), ROWS)
def test_the_letters_of_the_annex(item, component, condition, words, grade):
    verdict = of_finding("EU", component, condition, words)
    assert verdict.grade is grade, verdict
    assert item.split()[0] in verdict.source


BRITISH = [
    ("1.1.1 a", "brake_lever", "stiff", "", MA),
    ("1.1.1 b", "brake_lever", "worn", "", MA),
    ("1.1.2 a", "brake_lever", "play", "comes to the bar", MA),
    ("1.1.2 b", "brake_pedal", "delayed", "", M),
    ("1.1.2 c", "brake_pedal", "missing", "the rubber", MA),
    ("1.1.2", "brake_pedal", "misaligned", "", MA),
    ("1.1.2 e", "brake_lever", "loose", "", MA),
    ("1.1.2 e", "brake_lever", "loose", "can't get it to bite", D),
    ("4.1.1 a", "headlight_dip", "inoperative", "", MA),
    ("4.1.1 b", "headlight_dip", "crack", "", M),
    ("4.1.1 c", "headlight_dip", "loose", "", MA),
    ("5.1.3 a", "wheel_bearing", "play", "", MA),
    ("5.1.3", "wheel_bearing", "noise", "rough, about to let go", D),
    ("5.2.1", "axle", "loose", "", MA),
    ("5.2.1", "axle", "loose", "coming out", D),
    ("5.2.1 d", "axle", "missing", "split pin", MA),
    ("6.1.1", "frame", "crack", "", MA),
    ("2.2", "head_bearing", "notchy", "", MA),  # former edition
    ("2.2", "steering_stop", "misaligned", "", MA),  # former edition
    ("6.2", "chain_guard", "loose", "", MA),  # former edition
]


@pytest.mark.parametrize(("item", "component", "condition", "words", "grade"), BRITISH)
def test_the_letters_of_the_british_manual(item, component, condition, words, grade):
    verdict = of_finding("GB", component, condition, words)
    assert verdict.grade is grade, verdict
    assert f"§ {item}" in verdict.source
    assert verdict.sureness in ("read", "read second-hand")


@pytest.mark.parametrize(
    ("country", "words", "grade"),
    # Annex I item 4.1.1 a (from memory): a step at one third; GB manual § 4.1.1 (read): at one half
    [
        ("EU", "one of four LEDs dead", M),
        ("GB", "one of four LEDs dead", M),
        ("EU", "one of three LEDs", M),
        ("EU", "two of five LEDs", MA),
        ("GB", "two of five LEDs", M),
        ("GB", "half the LEDs are out", M),
        ("EU", "half the LEDs are out", MA),
        ("GB", "3 out of the 4 LEDs are out", MA),
        ("GB", "the lamp is dead", MA),
    ],
)
def test_part_of_a_headlamp_out_steps_where_the_country_has_it(country, words, grade):
    assert of_finding(country, "headlight_dip", "inoperative", words).grade is grade
