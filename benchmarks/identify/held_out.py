"""How often identify is right on the demo's releases, and how soon: `python -m benchmarks.identify.held_out`.

Items are drawn from the scenario's true states; one answer in twenty is wrong. Each is identified with the
table of its release: once with the variant listed, once with it left out, when "not listed" is the right answer.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from registry.methods.identify import Expectations, Need, Seen, SeenOther, Table, Trait, identify
from registry.methods.identify.expectations import NOVELTY, UNLISTED
from registry.methods.identify.observations import Observation

SCENARIO = Path(__file__).parents[2] / "fixtures" / "scenario"
ERROR, ITEMS = 0.05, 20
States = dict[str, dict[str, str]]  # by variant and trait


def releases() -> Iterator[tuple[tuple[Trait, ...], States, States]]:
    """For each release of two variants or more: its traits, the true states, and those that reports assert."""
    catalogue, variants = (
        yaml.safe_load((SCENARIO / f"{name}.yaml").read_text()) for name in ("catalogue", "variants")
    )
    places = [(line["key"], line["standard_checks"]) for line in catalogue["lines"]]
    places += [(casting["key"], casting["traits"]) for casting in catalogue["castings"]]
    known = {(place, trait["key"]): trait for place, traits in places for trait in traits}
    for release in catalogue["releases"]:
        listed = variants.get(release["key"]) or []
        if len(listed) < 2:
            continue
        found = (
            known.get((place, key))
            for key in release["adopts"]
            for place in (release["line"], release["casting"])
        )
        traits = tuple(trait_of(plain) for plain in found if plain)
        keys = {trait.key for trait in traits}
        true = {v["key"]: {k: s for k, s in v["states"].items() if k in keys} for v in listed}
        asserted = {
            v["key"]: {k: s for k, s in true[v["key"]].items() if k in v.get("asserts", ())} for v in listed
        }
        yield traits, true, asserted


def trait_of(plain: dict[str, Any]) -> Trait:
    states = (*(state["key"] for state in plain["states"]), "does_not_apply")
    needs = frozenset() if plain["seen_in_pack"] else frozenset({Need.LOOSE})
    return Trait(plain["key"], states, plain["name"], needs=needs)


def item(traits: tuple[Trait, ...], states: dict[str, str], rng: np.random.Generator) -> dict[str, str]:
    """What somebody sees on one item; does_not_apply is never seen by mistake."""
    seen = {}
    for trait in traits:
        if trait.key in states:
            others = [s for s in trait.states[:-1] if s != states[trait.key]]
            wrong = others and rng.random() < ERROR
            seen[trait.key] = str(rng.choice(others)) if wrong else states[trait.key]
    return seen


def asked(expected: Expectations, seen: dict[str, str], by_gain: bool) -> tuple[list[Seen], np.ndarray]:
    """The checks made until the advice is to stop: those advised, or the table's own order."""
    made: list[Seen] = []
    left = [trait.key for trait in expected.table.traits if trait.key in seen]
    answer = identify(expected, keep=1)
    while left and answer.advice.next is not None:
        best = next((check.trait for check in answer.checks if check.trait in left), left[0])
        trait = best if by_gain else left[0]
        left.remove(trait)
        made.append(Seen(trait, seen[trait]))
        answer = identify(expected, made, keep=1)
    return made, answer.posterior


def recognised(name: str, tables: list[tuple[tuple[Trait, ...], States, States]]) -> None:
    """How often the best answer is right (or as good as any other) and after how many checks, three ways."""
    rng = np.random.default_rng(7)
    right: dict[str, list[bool]] = {"all traits": [], "advised": [], "fixed order": []}
    checks: dict[str, list[int]] = {way: [] for way in right}
    for traits, true, listed in tables:
        expected = Expectations(Table.of(traits, listed))
        for row, states in enumerate(true.values()):
            for _ in range(ITEMS):
                seen = item(traits, states, rng)
                everything = [Seen(trait, state) for trait, state in seen.items()]
                ways = {
                    "all traits": (everything, identify(expected, everything, keep=1).posterior),
                    "advised": asked(expected, seen, by_gain=True),
                    "fixed order": asked(expected, seen, by_gain=False),
                }
                for way, (made, posterior) in ways.items():
                    right[way].append(posterior[row] >= posterior.max() - 1e-9)
                    checks[way].append(len(made))
    print(f"\n{name}: {len(right['advised'])} items")
    for way in right:
        print(
            f"  {way:<12} right at first {np.mean(right[way]):6.1%}, {np.mean(checks[way]):5.2f} checks on average"
        )


def left_out(name: str, tables: list[tuple[tuple[Trait, ...], States, States]], novelty: float) -> None:
    """The area under the curve of "not listed": how often an unlisted item scores above a listed one.

    Asked as the site asks: states that no listed variant has are "none of these", and details of which none is known
    are not asked for.
    """
    rng = np.random.default_rng(8)
    unlisted, listed_ones, rank = [], [], []
    for traits, true, listed in tables:
        whole = expectations(traits, listed, novelty)
        for variant, states in true.items():
            without = expectations(traits, {k: each for k, each in listed.items() if k != variant}, novelty)
            for _ in range(ITEMS):
                seen = item(traits, states, rng)
                answer = identify(whole, answers(whole, seen), keep=1)
                listed_ones.append(answer.not_listed)
                row = whole.table.row(variant)
                rank.append(answer.posterior[row] >= answer.posterior.max() - 1e-9)
                unlisted.append(identify(without, answers(without, seen), keep=1).not_listed)
    new, old = np.array(unlisted), np.array(listed_ones)
    above = np.subtract.outer(new, old)
    area = (above > 0).mean() + (above == 0).mean() / 2
    # What the answer loses at even odds, in bits: 1 for a coin, 0 for the truth.
    odds = [np.log(each / (1 - each)) + np.log((1 - UNLISTED) / UNLISTED) for each in (new, old)]
    lost = (np.logaddexp(0, -odds[0]).mean() + np.logaddexp(0, odds[1]).mean()) / 2 / np.log(2)
    print(
        f"{name}, novelty {novelty:.2f}: area {area:.3f}, {lost:.3f} bits lost; above a half for "
        f"{np.mean(new > 0.5):.1%} of unlisted items and {np.mean(old > 0.5):.1%} of listed ones; "
        f"listed ones right at first {np.mean(rank):.1%}"
    )


def expectations(traits: tuple[Trait, ...], listed: States, novelty: float) -> Expectations:
    """Only states that some listed variant has, and only traits of which there is one."""
    had = {trait.key: {states.get(trait.key) for states in listed.values()} for trait in traits}
    kept = [
        replace(t, states=tuple(s for s in t.states if s in had[t.key]))
        for t in traits
        if had[t.key] - {None}
    ]
    return Expectations(Table.of(kept, listed), novelty=novelty)


def answers(expected: Expectations, seen: dict[str, str]) -> list[Observation]:
    states = {trait.key: trait.states for trait in expected.table.traits}
    return [
        Seen(trait, state) if state in states[trait] else SeenOther(trait)
        for trait, state in seen.items()
        if trait in states
    ]


def through_the_pack(traits: tuple[Trait, ...], true: States) -> tuple[tuple[Trait, ...], States, States]:
    shown = tuple(trait for trait in traits if trait.seen_in_pack)
    keys = {trait.key for trait in shown}
    kept = {v: {key: state for key, state in states.items() if key in keys} for v, states in true.items()}
    return shown, kept, kept


if __name__ == "__main__":
    found = list(releases())
    known = [(traits, true, true) for traits, true, _ in found]
    in_pack = [through_the_pack(traits, true) for traits, true, _ in found]
    print(
        f"{len(found)} releases, {sum(len(true) for _, true, _ in found)} variants, {ERROR:.0%} wrong answers"
    )
    recognised("every state listed", known)
    recognised("every state listed, only what the pack shows", in_pack)
    recognised("only what reports assert is listed", found)
    print()
    for novelty in (0.05, NOVELTY):
        left_out("every state listed", known, novelty)
        left_out("every state listed, only what the pack shows", in_pack, novelty)
        left_out("only what reports assert is listed", found, novelty)
