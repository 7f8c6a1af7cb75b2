"""Which one is it: what was seen, read against what is known, and the answer in plain values for page and program."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from registry.errors import InvalidField, UnknownReference
from registry.methods.colour.verdict import likelihoods
from registry.methods.identifiers import parse_id
from registry.methods.identify import (
    EVERYTHING,
    Candidate,
    Check,
    Expectations,
    Identification,
    Measured,
    Need,
    NotSure,
    NotVisible,
    Observation,
    Seen,
    SeenOther,
    Weighed,
    identify,
)
from registry.methods.identify.wording import advice_words, ground_words, summary_words
from registry.models import State, Trait

from .known import Detail, Known, known_in, known_in_each
from .scopes import Scope

WHOLE = 10_000  # a probability of 1, and one bit
CHECKS_SHOWN = 5
SAID = ("state", "states", "not_sure", "not_visible", "none_of_these", "value", "lab")


@dataclass(frozen=True)
class Question:
    """What was seen on one item, and what can be looked at now. `observed`: by trait, as the API takes it."""

    scope: Scope
    observed: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    can: frozenset[Need] = EVERYTHING
    flat: bool = False
    keep: int = 10
    checks: int = CHECKS_SHOWN


def answer(question: Question, known: Known | None = None) -> dict[str, Any]:
    """The answer to one question, from `known` or from its own scope."""
    known = known or known_in(question.scope)
    return answer_from(known, known.expectations(question.flat), question)


def answers(questions: list[Question]) -> list[dict[str, Any]]:
    """One answer each. Queries: 14 at most, however many are asked of however many scopes."""
    known = known_in_each({question.scope for question in questions})
    made: dict[tuple[Scope, bool], Expectations] = {}
    found = []
    for number, question in enumerate(questions):
        here = known[question.scope]
        key = (question.scope, question.flat)
        if key not in made:
            made[key] = here.expectations(question.flat)
        found.append(answer_from(here, made[key], question, f"items[{number}]."))
    return found


def answer_from(known: Known, expected: Expectations, question: Question, where: str = "") -> dict[str, Any]:
    seen, silent = observations_of(known, question.observed, f"{where}observed")
    try:
        found = identify(expected, seen, at_hand=question.can, keep=question.keep)
    except ValueError as fault:  # a number that no trait here can take
        raise InvalidField(f"{where}observed", dict(question.observed), f"{fault}.") from None
    return as_plain(known, found, silent, question.checks)


# What was seen ------------------------------------------------------------------------------------------------------


def observations_of(
    known: Known, observed: Mapping[str, Mapping[str, Any]], where: str
) -> tuple[list[Observation], list[str]]:
    """The observations, and the details of which no variant here is known, which can tell nothing.

    Errors: InvalidField or UnknownReference naming the trait or state that is not of this scope.
    """
    seen: dict[str, Observation] = {}
    silent: list[str] = []
    columns = {trait.key for trait in known.table.traits}
    for name, said in observed.items():
        detail = detail_named(known, name, f"{where}.{name}")
        if detail.id in seen or detail.id in silent:
            raise InvalidField(
                f"{where}.{name}", detail.label, "It was answered twice: keep one of the answers."
            )
        observation = observation_of(detail, said, f"{where}.{name}")
        if detail.id in columns:
            seen[detail.id] = observation
        else:
            silent.append(detail.id)
    return list(seen.values()), silent


def detail_named(known: Known, name: str, where: str) -> Detail:
    found = known.names.get(name) or known.names.get(canonical(name)) or ()
    if len(found) == 1:
        return known.details[found[0]]
    if found:
        among = ", ".join(f"{known.details[one].label} ({one})" for one in found)
        raise InvalidField(where, name, f"Several details here have this key. Name one by its id: {among}.")
    other = Trait.objects.filter(public_id=canonical(name)).select_related("casting", "line").first()
    if other:
        raise UnknownReference(
            where, name, f"That is {other} of {other.casting or other.line}, which is not looked at here."
        )
    raise UnknownReference(where, name, "It is no detail of these. /v1/traits lists them.")


def observation_of(detail: Detail, said: Mapping[str, Any], where: str) -> Observation:
    kinds = [kind for kind in SAID if kind in said and said[kind] is not False]
    if len(kinds) != 1:
        raise InvalidField(where, dict(said), f"Say one of: {', '.join(SAID)} (with error).")
    match kinds[0]:
        case "state":
            return seen_state(detail, state_named(detail, said["state"], where))
        case "states":
            named = dict.fromkeys(state_named(detail, one, where) for one in said["states"])
            listed = tuple(one for one in named if one in detail.listed)
            return NotSure(detail.id, listed) if listed else SeenOther(detail.id)
        case "not_sure" | "not_visible":
            return NotVisible(detail.id)
        case "value":
            if "error" not in said:
                raise InvalidField(
                    where, said["value"], "A value needs its error, above 0, in the same unit."
                )
            return Measured(detail.id, float(said["value"]), float(said["error"]))
        case "lab":
            return measured_colour(detail, said, where)
    return SeenOther(detail.id)


def measured_colour(detail: Detail, said: Mapping[str, Any], where: str) -> Observation:
    """How likely the colour is on each state; it tells nothing where none of those has a reference colour."""
    lab = tuple(float(part) for part in said["lab"])
    if len(lab) != 3 or "error" not in said:
        raise InvalidField(
            where, said["lab"], "A colour is three numbers, CIELAB (D50), and needs its error in CIEDE2000."
        )
    if not detail.colours:
        return NotVisible(detail.id)
    by_state, anywhere = likelihoods((lab[0], lab[1], lab[2]), float(said["error"]), detail.colours)
    return Weighed(detail.id, {state: by_state.get(state, anywhere) for state in detail.listed}, anywhere)


def seen_state(detail: Detail, state: str) -> Observation:
    """A state that no variant here has is as good as none of those."""
    return Seen(detail.id, state) if state in detail.listed else SeenOther(detail.id)


def state_named(detail: Detail, name: str, where: str) -> str:
    """The id of a state of this detail, from its key or an id in any spelling."""
    found = detail.keys.get(name) or detail.keys.get(canonical(name))
    if found:
        return found
    other = (
        State.objects.filter(public_id=canonical(name))
        .select_related("trait__casting", "trait__line")
        .first()
    )
    if other:
        of = other.trait.casting or other.trait.line
        raise UnknownReference(
            where, name, f"That is {other}, a state of {other.trait} of {of}, not of {detail.label}."
        )
    among = ", ".join(detail.states.values())
    raise UnknownReference(where, name, f"It is no state of {detail.label}. Known: {among[:300]}.")


def canonical(name: str) -> str:
    try:
        return parse_id(name)
    except ValueError:
        return ""


# The answer ---------------------------------------------------------------------------------------------------------


def as_plain(known: Known, found: Identification, silent: Iterable[str], checks: int) -> dict[str, Any]:
    """Probabilities in ten-thousandths, gains in ten-thousandths of a bit; every id public."""
    advice = found.advice
    later = known.details[advice.later.trait] if advice.later else None
    return {
        "variants": len(known.variants),
        "fitting": found.fitting,
        "summary": summary_words(found),
        "ranking": [candidate_as_plain(known, candidate) for candidate in found.candidates],
        "not_listed": {
            "probability": round(found.not_listed * WHOLE),
            "is_likeliest": found.not_listed_is_likeliest,
        },
        "next_check": check_as_plain(known, advice.next) if advice.next else None,
        "checks": [check_as_plain(known, check) for check in found.checks[:checks]],
        "advice": {
            "reason": advice.reason,
            "words": advice_words(known.table, advice),
            "later": later.id if later else None,
            "missing": [need.value for need in Need if need in advice.missing],
        },
        "tells_nothing": list(silent),
    }


def candidate_as_plain(known: Known, candidate: Candidate) -> dict[str, Any]:
    listed = known.variants[candidate.variant]
    words: dict[str, list[str]] = {"for": [], "against": [], "neither": []}
    for ground in candidate.grounds:
        words[ground.speaks].append(ground_words(known.table, ground))
    return {
        "variant": listed.id,
        "title": listed.title,
        "standing": listed.standing,
        "release": listed.release,
        "release_name": listed.release_name,
        "probability": round(candidate.posterior * WHOLE),
        **words,
    }


def check_as_plain(known: Known, check: Check) -> dict[str, Any]:
    detail = known.details[check.trait]
    return {
        "trait": detail.id,
        "name": detail.label,
        "bits": round(check.bits * WHOLE),
        "place": detail.place,
        "how_to_inspect": detail.how_to_inspect,
        "in_pack": detail.seen_in_pack,
        "needs": [need.value for need in Need if need in check.needs],
    }
