"""Readings against published limits; each row names the source of its expectation."""

from __future__ import annotations

import pytest

from witnessmark.types import Basis, Grade

from .making import PASSING, machine, of_finding, of_reading

BIG = machine(capacity_cc=600, machine_class="motorcycle")
SMALL = machine(capacity_cc=49, machine_class="moped")
LIGHT = machine(capacity_cc=125, machine_class="light_motorcycle")


@pytest.mark.parametrize(
    ("country", "card", "value", "unit", "passes"),
    [
        ("GB", BIG, 1.0, "mm", True),  # C&U Regulations 1986 reg. 27, police legal help page: at least 1 mm
        ("GB", BIG, 0.9, "mm", False),  # the same
        ("GB", None, 0.9, "mm", False),  # the same; an unknown machine is held to the stricter rule
        ("GB", SMALL, 0.6, "mm", True),  # the same: up to 50 cc no depth, the pattern must be visible
        ("DE", BIG, 1.5, "mm", False),  # StVZO § 36: 1.6 mm
        ("DE", BIG, 1.6, "mm", True),  # StVZO § 36
        ("DE", LIGHT, 1.2, "mm", True),  # StVZO § 36: 1 mm for light motorcycles
        ("DE", SMALL, 1.2, "mm", True),  # StVZO § 36: and for mopeds
        ("US-MD", BIG, 0.79375, "mm", True),  # COMAR 11.14.03.05: rejected when less than 1/32 in
        ("US-MD", BIG, 0.03125, "in", True),  # the same
        ("US-MD", BIG, 0.78, "mm", False),  # the same
        ("US-VA", BIG, 0.03125, "in", False),  # 19VAC30-70-400: 2/32 in
        ("US-VA", BIG, 0.0625, "in", True),  # the same
        ("AU-WA", BIG, 1.4, "mm", False),  # Road Traffic (Vehicles) Regulations 2014 r. 270: 1.5 mm
        ("AU-WA", BIG, 1.5, "mm", True),  # the same
        ("IN", BIG, 0.7, "mm", False),  # CMVR 1989 r. 94: 0.8 mm for two-wheelers
    ],
)
def test_legal_tread(country, card, value, unit, passes):
    verdict = of_reading(country, "tyre", "tread_depth", value, unit, card=card, end="rear")
    assert (verdict.grade in PASSING) == passes
    if not passes:
        assert verdict.basis is Basis.LAW


def test_tread_below_the_british_limit_is_dangerous():
    """GB manual § 5.2.3 (from memory)."""
    assert of_reading("GB", "tyre", "tread_depth", 0.9, "mm").grade is Grade.DANGEROUS
    assert of_reading("DE", "tyre", "tread_depth", 0.9, "mm").grade is Grade.MAJOR


def test_a_bald_moped_tyre_fails_though_no_depth_is_laid_down():
    """C&U Regulations 1986 reg. 27: the original pattern must be clearly visible."""
    assert of_finding("GB", "tyre", "worn", "there is a bald band right round it").grade is Grade.DANGEROUS


@pytest.mark.parametrize("country", [None, "", "XX"])
def test_without_a_known_country_nothing_passes_or_fails(country):
    """Policy: state the reading and ask."""
    for value in (0.2, 5.0):
        verdict = of_reading(country, "tyre", "tread_depth", value, "mm")
        assert verdict.grade is Grade.UNGRADED
        assert f"{value} mm" in verdict.message
        assert "name the country" in verdict.message


@pytest.mark.parametrize(
    ("country", "words"),
    [("AU", "AU-WA"), ("US", "US-MD"), ("PT", "is national"), ("ZA", "South Africa")],
)
def test_where_the_law_is_not_declared_the_message_says_so(country, words):
    verdict = of_reading(country, "tyre", "tread_depth", 3.2, "mm")
    assert words in verdict.message
    assert verdict.basis is Basis.COMMON_PRACTICE


@pytest.mark.parametrize(
    ("value", "grade"),
    [(1.0, Grade.ADVISORY), (2.0, Grade.ADVISORY), (2.1, Grade.SOUND), (2.5, Grade.SOUND)],
)
def test_a_legal_minimum_is_a_floor_not_advice(value, grade):
    """Within 1 mm of the limit a tyre is advised on: common practice, no source."""
    verdict = of_reading("GB", "tyre", "tread_depth", value, "mm")
    assert verdict.grade is grade
    assert "legal minimum of 1.0 mm" in verdict.message


def test_the_message_says_the_margin():
    verdict = of_reading("GB", "tyre", "tread_depth", 2.5, "mm", end="front", card=BIG)
    assert verdict.message == "Front tyre tread depth: 2.5 mm, 1.5 mm above the legal minimum of 1.0 mm."


@pytest.mark.parametrize(
    ("country", "value", "unit", "passes"),
    [
        ("GB", 0.9, "mm", False),  # GB manual § 1.1.13, trade press and a tester: 1.0 mm
        ("GB", 1.2, "mm", True),  # the same
        ("US-VA", 1.2, "mm", False),  # 19VAC30-70-340: 2/32 in = 1.5875 mm
        ("US-VA", 0.0625, "in", True),  # the same: rejected when under
        ("DE", 0.9, "mm", False),  # makers' usual wear mark (from memory)
    ],
)
def test_pad_thickness(country, value, unit, passes):
    assert (of_reading(country, "brake_pads", "thickness", value, unit).grade in PASSING) == passes


def test_a_disc_below_its_stamp_is_to_be_replaced():
    """Annex I item 1.1.14 a to Directive 2014/45/EU (from memory): worn disc, major."""
    verdict = of_reading("DE", "brake_disc", "thickness", 4.4, "mm", limit={"low": 4.5})
    assert (verdict.grade, verdict.basis) == (Grade.MAJOR, Basis.SAID)


@pytest.mark.parametrize(
    ("value", "grade"),
    [(0.29, Grade.SOUND), (0.31, Grade.MINOR)],  # one maker's manual: 0.30 mm
)
def test_disc_runout(value, grade):
    assert of_reading("GB", "brake_disc", "runout", value, "mm").grade is grade


@pytest.mark.parametrize(
    ("rims", "value", "passes"),  # GB manual § 5: lateral 4 mm steel, 2 mm alloy; eccentricity 3 mm
    [("alloy", 2.5, False), ("steel", 2.5, True), ("steel", 4.1, False), (None, 2.5, False)],
)
def test_wheel_runout(rims, value, passes):
    card = machine(rims=rims)
    assert (of_reading("GB", "wheel", "runout", value, "mm", card=card).grade in PASSING) == passes
    assert of_reading("GB", "wheel", "runout", 2.5, "mm", card=card, words="2.5 mm radial").grade in PASSING


@pytest.mark.parametrize(
    ("value", "grade"),  # trade guide bands (from memory)
    [(0.5, Grade.SOUND), (1.5, Grade.ADVISORY), (2.5, Grade.MINOR), (3.0, Grade.MAJOR), (4.0, Grade.MAJOR)],
)
def test_water_in_brake_fluid(value, grade):
    assert of_reading("GB", "brake_fluid", "water_content", value, "%").grade is grade


@pytest.mark.parametrize(
    ("fluid", "wet"),  # 49 CFR 571.116 S5.1.2: wet boiling points
    [("DOT 3", 140), ("DOT 4", 155), ("DOT 5", 180), ("DOT 5.1", 180)],
)
def test_boiling_point_of_brake_fluid(fluid, wet):
    card = machine(fluid=fluid)
    assert of_reading("GB", "brake_fluid", "temperature", wet, "degC", card=card).grade is Grade.SOUND
    assert of_reading("GB", "brake_fluid", "temperature", wet - 1, "degC", card=card).grade is Grade.MINOR
    assert (
        of_reading("GB", "brake_fluid", "temperature", 1.8 * wet + 33, "degF", card=card).grade is Grade.SOUND
    )


@pytest.mark.parametrize(
    ("measured", "new", "per_cent", "grade"),
    [
        (320.0, 317.5, 0.787, Grade.SOUND),  # 520 chain, 20 pitches of 15.875 mm (ISO 10190 sizes)
        (322.0, 317.5, 1.417, Grade.SOUND),  # 525
        (323.85, 317.5, 2.000, Grade.MINOR),  # 530; replace at 2 %
        (324.5, 317.5, 2.205, Grade.MINOR),  # 520; over 2 %: an off-road maker's manual
        (259.0, 254.0, 1.969, Grade.ADVISORY),  # 428, pitch 12.7 mm; advice from 1.5 %
        (24.75, 24.0, 3.125, Grade.MAJOR),  # chain handbook's example: 24 in, change at 24.75; 3 % is the end
    ],
)
def test_chain_elongation(measured, new, per_cent, grade):
    elongation = (measured - new) / new * 100
    assert elongation == pytest.approx(per_cent, abs=0.001)
    assert of_reading("GB", "chain", "elongation", elongation, "%").grade is grade


@pytest.mark.parametrize(
    ("value", "unit", "grade"),  # span of five makers' manuals: a question under 20 or over 50 mm, no failure
    [
        (30, "mm", Grade.SOUND),
        (19, "mm", Grade.ADVISORY),
        (51, "mm", Grade.ADVISORY),
        (2.25, "in", Grade.ADVISORY),
    ],
)
def test_chain_slack_without_a_makers_figure_is_a_question(value, unit, grade):
    assert of_reading("GB", "chain", "slack", value, unit).grade is grade


@pytest.mark.parametrize(
    ("value", "charged"),  # table credited to BCI; 12.35 V interpolated
    [(12.65, "100 %"), (12.24, "50 %"), (12.35, "63 %"), (12.45, "75 %"), (11.89, "0 %")],
)
def test_state_of_charge_of_a_flooded_battery(value, charged):
    assert f"about {charged} charged" in of_reading("GB", "battery", "voltage", value, "V").message.lower()


@pytest.mark.parametrize(
    ("value", "grade"),  # the same table: 75 % and 25 %
    [(12.65, Grade.SOUND), (12.24, Grade.ADVISORY), (12.0, Grade.MINOR), (13.4, Grade.ADVISORY)],
)
def test_rested_voltage(value, grade):
    assert of_reading("GB", "battery", "voltage", value, "V").grade is grade


def test_surface_charge_gives_no_state_of_charge():
    """Battery trade page: it takes hours to fade."""
    verdict = of_reading("GB", "battery", "voltage", 12.7, "V", words="12.7 volts a minute after charging")
    assert verdict.grade is Grade.UNGRADED
    assert "%" not in verdict.message


def test_a_lithium_battery_has_its_own_curve():
    """Usual figures for four LiFePO4 cells (from memory): 13.2 V is about 70 %, and not overcharged."""
    verdict = of_reading("GB", "battery", "voltage", 13.2, "V", card=machine(chemistry="lithium"))
    assert verdict.grade is Grade.SOUND
    assert "70 %" in verdict.message


@pytest.mark.parametrize(
    ("value", "grade"),  # usual advice (from memory): 13.5 to 14.8 V, under 13.2 and over 15.0 a fault
    [(14.2, Grade.SOUND), (13.3, Grade.ADVISORY), (13.1, Grade.MINOR), (15.2, Grade.MAJOR)],
)
def test_charging_voltage(value, grade):
    assert of_reading("GB", "charging", "voltage", value, "V").grade is grade


def test_a_battery_read_while_running_is_judged_as_charging():
    verdict = of_reading("GB", "battery", "voltage", 15.2, "V", words="15.2 with the engine running")
    assert (verdict.grade, verdict.rule) == (Grade.MAJOR, "battery.running.high")


@pytest.mark.parametrize("country", ["GB", "DE", "IE", "US"])
@pytest.mark.parametrize(
    ("value", "passes"),
    # StVZO § 54(1): 1.5 ± 0.5 Hz; UN regulation 6: 90 ± 30; RVLR 1989 Schedule 7: 60 to 120; SAE J590
    [(95, True), (55, False), (130, False), (120, True), (60, True)],
)
def test_flash_rate(country, value, passes):
    verdict = of_reading(country, "indicator", "flash_rate", value, "1/min")
    assert (verdict.grade in PASSING) == passes
    assert verdict.basis is Basis.LAW
    assert passes or verdict.grade is Grade.MINOR  # Annex I item 4.4.4 (from memory)


def test_a_warm_tyre_is_not_held_against_the_label():
    """Gas law: about 1 psi for each 10 °F; compare cold only."""
    words = "38 psi but it's hot"
    verdict = of_reading("GB", "tyre", "pressure", 38, "psi", limit={"target": 33}, words=words)
    assert verdict.grade is Grade.UNGRADED
    cold = of_reading("GB", "tyre", "pressure", 38, "psi", limit={"target": 33}, words="38 psi, not hot")
    assert cold.grade is Grade.MINOR


@pytest.mark.parametrize(
    ("value", "unit"), [("two", "mm"), (2.0, None), (2.0, "V"), (2.0, "furlong"), (float("nan"), "mm")]
)
def test_what_cannot_be_compared_is_left_ungraded(value, unit):
    assert of_reading("GB", "tyre", "tread_depth", value, unit).grade is Grade.UNGRADED
