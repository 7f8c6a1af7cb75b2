"""What to look at next: published figures of information gain, what is at hand, and when to stop."""

from math import log2

import numpy as np
import pytest

from registry.methods.identify import Expectations, Need, Seen, SeenOther, Table, Trait, identify
from registry.methods.identify.wording import advice_words, ground_words, summary_words
from tests.methods.small_tables import BRINEWAGON, Zoo, random_table, table_of

# Quinlan 1986, Machine Learning 1, 81-106, table 1: outlook, temperature, humidity, wind, and whether to play.
WEATHER = """sunny hot high weak no; sunny hot high strong no; overcast hot high weak yes; rain mild high weak yes;
rain cool normal weak yes; rain cool normal strong no; overcast cool normal strong yes; sunny mild high weak no;
sunny cool normal weak yes; rain mild normal weak yes; sunny mild normal strong yes; overcast mild high strong yes;
overcast hot normal weak yes; rain mild high strong no"""

# Computed with scikit-learn 1.9.1 (mutual_info_score / ln 2) on the open data named in zoo.json.
ZOO_GAINS = {
    "legs": 1.363047, "milk": 0.97432, "toothed": 0.865694, "eggs": 0.830138, "hair": 0.790675,
    "feathers": 0.71795, "backbone": 0.676163, "breathes": 0.614494, "tail": 0.50046, "airborne": 0.469703,
    "fins": 0.466614, "aquatic": 0.389487, "catsize": 0.30849, "venomous": 0.13309, "predator": 0.093447,
    "domestic": 0.050669,
}  # fmt: skip
ZOO_LEGS_ENTROPY, ZOO_HAIR_ENTROPY = 2.033811, 0.98403


def as_channels(columns: dict[str, list[str]], classes: list[str]) -> Expectations:
    """Each class a variant, each attribute a trait that shows its values as often as the class has them."""
    names = sorted(set(classes))
    traits, confusion = [], {}
    for key, column in columns.items():
        values = sorted(set(column))
        size = max(len(values), len(names))
        matrix = np.zeros((size, size))
        for value, of in zip(column, classes, strict=True):
            matrix[names.index(of), values.index(value)] += 1
        matrix[: len(names)] /= matrix[: len(names)].sum(axis=1, keepdims=True)
        traits.append(Trait(key, tuple(values) + tuple(f"no {n}" for n in range(size - len(values)))))
        confusion[key] = matrix
    cells = np.array([[row] * len(traits) for row in range(len(names))])
    prior = [classes.count(name) for name in names]
    return Expectations(
        Table(tuple(names), tuple(traits), cells), prior=prior, not_listed=0, confusion=confusion
    )


def weather() -> Expectations:
    rows = [row.split() for row in WEATHER.split(";")]
    *columns, play = (list(column) for column in zip(*rows, strict=True))
    return as_channels(dict(zip(["outlook", "temperature", "humidity", "wind"], columns, strict=True)), play)


def test_the_gains_are_those_of_quinlans_example():
    """Quinlan 1986, sec. 4 prints 0.246, 0.029, 0.151 and 0.048; these have more digits, of the same rows."""
    gains = {check.trait: check.bits for check in identify(weather()).checks}
    published = {"outlook": 0.24675, "temperature": 0.029223, "humidity": 0.151836, "wind": 0.048127}
    assert gains == pytest.approx(published, abs=1e-6)
    assert list(gains) == ["outlook", "humidity", "wind", "temperature"]


def test_the_posterior_is_that_of_mitchells_example():
    """Mitchell 1997, Machine Learning, sec. 6.9.1: 0.0206 against 0.0053, so 0.795 for no."""
    seen = {"outlook": "sunny", "temperature": "cool", "humidity": "high", "wind": "strong"}
    answer = identify(weather(), [Seen(trait, state) for trait, state in seen.items()])
    assert answer.candidates[0].variant == "no"
    assert answer.candidates[0].posterior == pytest.approx(0.0205714 / (0.0205714 + 0.0052910), abs=1e-5)


def test_the_gains_for_the_class_of_an_animal_are_those_computed_elsewhere():
    zoo = Zoo()
    columns = {n: [str(v) for v in column] for n, column in zip(zoo.attributes, zoo.values.T, strict=True)}
    checks = identify(as_channels(columns, list(zoo.classes)), keep=1).checks
    assert {check.trait: check.bits for check in checks} == pytest.approx(ZOO_GAINS, abs=1e-5)
    assert checks[0].trait == "legs"


def test_a_certain_answer_tells_the_entropy_of_the_trait():
    """The entropies of attributes over all 101 rows, each row a variant: Shannon 1948, from the same source."""
    zoo = Zoo()
    traits = tuple(Trait(name, tuple("0123456789")) for name in zoo.attributes)
    table = Table(tuple(f"v{n}" for n in range(len(zoo.values))), traits, zoo.values)
    sure = {name: np.eye(10) for name in zoo.attributes}
    checks = identify(Expectations(table, not_listed=0, confusion=sure)).checks
    gains = {check.trait: check.bits for check in checks}
    assert gains["legs"] == pytest.approx(ZOO_LEGS_ENTROPY, abs=1e-5)
    assert gains["hair"] == pytest.approx(ZOO_HAIR_ENTROPY, abs=1e-5)


def test_a_check_is_chosen_by_bits_per_effort():
    traits = (Trait("dear", tuple("abcd"), effort=5), Trait("cheap", tuple("ab")))
    table = Table(tuple("wxyz"), traits, np.array([[0, 0], [1, 0], [2, 1], [3, 1]]))
    answer = identify(table)
    dear, cheap = sorted(answer.checks, key=lambda check: -check.bits)
    assert (dear.trait, cheap.trait, answer.advice.next) == ("dear", "cheap", cheap)
    assert log2(4) > dear.bits > cheap.bits > dear.bits / 5


def test_only_what_can_be_inspected_now_is_asked():
    in_pack = identify(BRINEWAGON, [Seen("wheels", "gold"), Seen("crest", "red")], at_hand=[])
    assert {check.trait for check in in_pack.checks} == {"length"}
    assert in_pack.advice.later.trait == "base"
    loose = identify(BRINEWAGON, [Seen("wheels", "gold"), Seen("crest", "red")], at_hand=[Need.LOOSE])
    assert "base" not in {check.trait for check in loose.checks}
    both = identify(BRINEWAGON, [Seen("wheels", "gold"), Seen("crest", "red")])
    assert (both.advice.next.trait, both.advice.reason) == ("base", "go_on")
    assert [trait.seen_in_pack for trait in BRINEWAGON.traits] == [True, True, False, True]


def test_no_check_left_means_stop():
    seen = [Seen("wheels", "gold"), Seen("crest", "red"), Seen("base", "plain"), Seen("length", "short")]
    answer = identify(BRINEWAGON, seen)
    assert (answer.checks, answer.advice.next, answer.advice.reason) == ((), None, "nothing_left")


def test_a_trait_that_all_share_tells_too_little_to_look():
    table = table_of([[0, 0], [1, 0]], [2, 1])
    answer = identify(Expectations(table, not_listed=0), [Seen("t0", "s0")], enough_bits=0.05)
    assert (answer.advice.next, answer.advice.reason) == (None, "little_to_gain")


def test_a_check_that_could_not_change_the_answer_is_not_asked():
    table = table_of([[0, 0, 0, 0, 0], [1, 1, 1, 1, 1], [1, 1, 0, 0, 0]], [2] * 5)
    seen = [Seen(f"t{n}", "s0") for n in range(3)]
    answer = identify(Expectations(table, not_listed=0.3, accuracy=0.9), seen, enough_bits=1e-6)
    assert (answer.advice.next, answer.advice.reason) == (None, "settled")
    assert advice_words(table, answer.advice) == "One more check would not change the answer."


def test_a_check_that_could_bring_not_listed_to_the_top_is_asked():
    table = table_of([[0, 0, 0]], [2, 2, 2])
    answer = identify(Expectations(table, not_listed=0.3), [Seen("t0", "s0")])
    assert answer.candidates[0].posterior > 0.5
    assert (
        identify(Expectations(table, not_listed=0.3), [Seen("t0", "s0"), Seen("t1", "s1")]).not_listed > 0.5
    )
    assert (answer.advice.next.trait, answer.advice.reason) == ("t1", "go_on")


@pytest.mark.parametrize("seed", range(40))
def test_go_on_or_stop_agrees_with_trying_every_answer(seed):
    """Exhaustive: with each further answer given in turn, does another hypothesis come out on top?"""
    table = random_table(seed, 6, 6, 3)
    expected = Expectations(table, prior=np.random.default_rng(seed).random(6) + 0.01)
    seen = [Seen(f"t{n}", f"s{max(int(table.cells[0, n]), 0)}") for n in range(3)]
    now = identify(expected, seen, enough_bits=0)
    leader = leading(now)
    changed = any(
        leading(identify(expected, [*seen, Seen(check.trait, f"s{state}")])) != leader
        for check in now.checks
        for state in range(3)
    )
    likely = max(now.not_listed, now.posterior.max()) >= 0.5
    # "None of these" is an answer as well; where that alone changes the answer, going on is right too.
    none = any(leading(identify(expected, [*seen, SeenOther(check.trait)])) != leader for check in now.checks)
    assert (now.advice.reason == "settled") == (likely and not changed and not none)


def leading(answer) -> str:
    return "not listed" if answer.not_listed_is_likeliest else answer.candidates[0].variant


def test_the_sentences_say_what_was_found():
    nothing = identify(BRINEWAGON)
    loose = identify(BRINEWAGON, at_hand=[Need.LOOSE]).advice
    assert advice_words(BRINEWAGON, loose).endswith(" With a view of the base, base text would tell more.")
    assert summary_words(nothing) == "Nothing has been seen yet, so this is only how often each is found."
    answer = identify(BRINEWAGON, [Seen("wheels", "silver")], at_hand=[])
    assert summary_words(answer) == "One listed variant has all of this."
    first, second = answer.candidates[:2]
    assert ground_words(BRINEWAGON, first.grounds[0]) == "Front wheels, silver on this one: speaks for it."
    assert ground_words(BRINEWAGON, second.grounds[0]) == "Front wheels, gold on this one: speaks against it."
    unknown = identify(BRINEWAGON, [Seen("base", "plain")]).candidates
    last = next(c for c in unknown if c.variant == "long")
    assert ground_words(BRINEWAGON, last.grounds[0]).startswith(
        "Base text, not known for this one: says little"
    )


def test_the_advice_reads_as_a_sentence():
    seen = [Seen("wheels", "gold"), Seen("crest", "red")]
    now = identify(BRINEWAGON, seen).advice
    assert advice_words(BRINEWAGON, now) == "Look next at base text."
    in_pack = identify(BRINEWAGON, [*seen, Seen("length", "short")], at_hand=[Need.MAGNIFIER]).advice
    assert advice_words(BRINEWAGON, in_pack) == (
        "Everything that can be looked at now has been looked at. "
        "With the item out of its pack and a view of the base, base text would tell more."
    )


def test_the_summary_says_when_no_listed_variant_fits_and_when_none_is_listed():
    clash = identify(BRINEWAGON, [Seen("wheels", "silver"), Seen("crest", "blue")])
    assert summary_words(clash).startswith("No listed variant has all of this")
    assert summary_words(identify(table_of([], [2]))) == "No variant is listed here yet."
    many = identify(BRINEWAGON, [Seen("crest", "red")])
    assert summary_words(many) == "3 listed variants may have all of this."
