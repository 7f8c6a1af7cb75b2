"""What names look like. Pairs of look-alikes: Unicode Technical Report 36, section 2.2 has the idea; pairs by eye."""

import pytest

from registry.methods.skeleton import skeleton


@pytest.mark.parametrize(
    ("name", "twin"),
    [
        ("Mudlark", "Мudlаrk"),  # Cyrillic Em and a
        ("PAVEL", "РАVЕL"),  # Cyrillic capitals
        ("Annie", "Αnnie"),  # Greek capital Alpha
        ("NINA", "ΝΙΝΑ"),  # all Greek
        ("moderator", "rnoderator"),
        ("waves", "vvaves"),
        ("Bilge", "BlIge"),
        ("Otto", "0tt0"),
        ("Zoe", "Zoé"),
        ("Kelp Runner", "kelp-runner"),
        ("Foghorn", "Ｆｏｇｈｏｒｎ"),  # fullwidth
        ("paul", "ｐaul"),
        ("small l", "smaII I"),
    ],
)
def test_T07_what_can_be_mistaken_has_one_skeleton(name, twin):
    assert name != twin
    assert skeleton(name) == skeleton(twin)


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("Mudlark", "Mudlarks"),
        ("Clay", "Day"),
        ("Member 1", "Member 11"),
        ("Gull", "Hull"),
        ("5 Sheds", "8 Beds"),
    ],
)
def test_T07_what_can_be_told_apart_has_two(name, other):
    assert skeleton(name) != skeleton(other)


@pytest.mark.parametrize("name", ["Mudlark", "Мудларк", "九龍", "★", "Ærø 64", "ßtraße"])
def test_a_skeleton_is_its_own_and_never_empty(name):
    assert skeleton(name)
    assert skeleton(skeleton(name)) == skeleton(name)
