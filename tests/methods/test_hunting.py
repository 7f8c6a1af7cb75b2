"""What counts as one thing to find, and how to tell it; checked against trying every set of details."""

import random
from itertools import combinations

from registry.methods.hunting import MOST_COMPARED, Tell, kinds, tells

FOUR = [
    {"wheels": "gold", "crest": "red", "base": "plain"},
    {"wheels": "silver", "crest": "red", "base": "plain"},
    {"wheels": "gold", "crest": "red", "base": "dated"},
    {"wheels": "silver", "crest": "blue", "base": "plain"},
]


def test_each_is_told_by_as_little_as_possible_and_if_it_can_be_in_the_pack():
    told = tells(FOUR, seen={"wheels", "crest"})
    assert told[3] == Tell(("crest",), in_pack=True, unlike=())
    assert told[1] == Tell(("crest", "wheels"), in_pack=True, unlike=()) or told[1].traits == (
        "wheels",
        "crest",
    )
    assert told[2] == Tell(("base",), in_pack=False, unlike=())
    assert set(told[0].traits) == {"base", "wheels"}
    assert not told[0].in_pack


def test_one_alone_needs_no_telling_and_what_nothing_tells_apart_is_named():
    assert tells([{"wheels": "gold"}], seen=set()) == [Tell((), True, ())]
    told = tells([{"wheels": "gold"}, {"crest": "red"}, {"wheels": "tan"}], seen={"wheels"})
    assert [each.unlike for each in told] == [(1,), (0, 2), (1,)]
    assert [each.traits for each in told] == [("wheels",), (), ("wheels",)]


def test_it_is_as_short_as_trying_every_set_of_details():
    chance = random.Random(7)
    for _ in range(60):
        traits = "abcdef"[: chance.randint(1, 6)]
        variants = [
            {t: chance.choice("xyz") for t in traits if chance.random() < 0.8}
            for _ in range(chance.randint(1, 6))
        ]
        seen = {t for t in traits if chance.random() < 0.5}
        for number, told in enumerate(tells(variants, seen)):
            others = [o for o in range(len(variants)) if o != number]

            def apart(trait, other, own=variants[number], variants=variants):
                states = variants[other]
                return trait in own and trait in states and own[trait] != states[trait]

            able = {o for o in others if any(apart(t, o) for t in traits)}
            assert set(told.unlike) == set(others) - able
            assert all(any(apart(t, o) for t in told.traits) for o in able)
            full = {o for o in able if any(apart(t, o) for t in seen)} == able
            allowed = [t for t in traits if t in seen] if full else list(traits)
            assert set(told.traits) <= set(allowed)
            if len(told.traits) <= 3:
                shorter = combinations(allowed, max(0, len(told.traits) - 1))
                assert not told.traits or not any(
                    all(any(apart(t, o) for t in chosen) for o in able) for chosen in shorter
                )


def test_of_very_many_only_the_named_differences_are_told():
    many = [{"wheels": str(n)} for n in range(MOST_COMPARED + 1)]
    named = [{"wheels"}] * len(many)
    assert tells(many, seen=set(), named=named)[5] == Tell(("wheels",), False, ())
    assert tells(many, seen=set())[5] == Tell((), True, ())


def test_where_only_some_details_count_what_is_not_known_to_differ_is_one_kind():
    assert kinds(FOUR, {"wheels"}) == [0, 1, 0, 1]
    assert kinds(FOUR, {"wheels", "crest"}) == [0, 1, 0, 2]
    assert kinds(FOUR, set()) == [0, 0, 0, 0]
    assert kinds([{"crest": "red"}, {"wheels": "tan"}, {"crest": "blue"}, {}], {"crest"}) == [0, 0, 1, 0]
    assert kinds([], {"crest"}) == []
