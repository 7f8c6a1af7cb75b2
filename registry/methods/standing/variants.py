"""When a variant is verified, contested or set apart, and in words what it still lacks to be verified."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from registry.methods.facts import BASELINE, NOT_KNOWN, PRODUCTION_CAUSES, ClaimFact, VariantFact

from . import wording
from .claims import Grounds, decide_claim
from .outcomes import ClaimStanding, VariantStanding, VariantWord


@dataclass(frozen=True, slots=True)
class Parts:
    """A variant and the claims it is made of: open, and not a dispute's rival."""

    variant: VariantFact
    claims: tuple[ClaimFact, ...]
    differences: tuple[ClaimFact, ...]
    cause: ClaimFact | None

    def standing_on(self) -> tuple[ClaimFact, ...]:
        """The claims that its standing rests on."""
        return (*self.differences, *((self.cause,) if self.cause else ()))


@dataclass(frozen=True, slots=True)
class Look:
    """The claims as one looks at them: words and founding mode by claim id."""

    words: Mapping[str, str]
    founding: frozenset[str]

    def is_confirmed(self, claim: ClaimFact) -> bool:
        return self.words[claim.id] == "confirmed"


def variant_standings(grounds: Grounds, claims: Mapping[str, ClaimStanding]) -> dict[str, VariantStanding]:
    """All variants of the release, decided in order of sending."""
    look = Look(
        words={claim: standing.standing for claim, standing in claims.items()},
        founding=frozenset(claim for claim, standing in claims.items() if standing.founding),
    )
    standings: dict[str, VariantStanding] = {}
    settled: list[Parts] = []
    for parts in _in_order_of_sending(grounds):
        standing = _variant_standing(parts, settled, look, grounds, claims)
        standings[parts.variant.id] = standing
        if standing.standing in ("verified", "contested"):
            settled.append(parts)
    return standings


def _in_order_of_sending(grounds: Grounds) -> list[Parts]:
    claims: dict[str, list[ClaimFact]] = {variant.id: [] for variant in grounds.facts.variants}
    for claim in sorted(grounds.facts.claims, key=lambda claim: (claim.trait_name, claim.id)):
        if claim.is_open and not grounds.rival_of(claim) and claim.variant in claims:
            claims[claim.variant].append(claim)
    return [
        Parts(
            variant=variant,
            claims=tuple(claim for claim in claims[variant.id] if not claim.is_cause),
            differences=tuple(c for c in claims[variant.id] if c.is_difference and not c.is_cause),
            cause=next((claim for claim in claims[variant.id] if claim.is_cause), None),
        )
        for variant in sorted(grounds.facts.variants, key=lambda variant: (variant.seq, variant.id))
    ]


def _variant_standing(
    parts: Parts,
    settled: Sequence[Parts],
    look: Look,
    grounds: Grounds,
    claims: Mapping[str, ClaimStanding],
) -> VariantStanding:
    if parts.variant.event:
        return VariantStanding(parts.variant.event, (), founding=False)
    missing = _missing(parts, settled, look, grounds, claims)
    word = _word(parts, look, missing)
    if word == "provisional":
        undisputed = _without_contesting(parts, look, grounds)
        if undisputed is not None:
            lacking = _missing(parts, settled, undisputed, grounds, claims)
            if _word(parts, undisputed, lacking) != "provisional":
                return VariantStanding("contested", missing, _by_founding(parts, undisputed))
        return VariantStanding("provisional", missing, founding=False)
    if word == "set_apart":
        return VariantStanding(
            "set_apart", (), founding=parts.cause is not None and parts.cause.id in look.founding
        )
    return VariantStanding("verified", (), _by_founding(parts, look))


def _word(parts: Parts, look: Look, missing: Sequence[str]) -> VariantWord:
    cause = parts.cause
    if cause and look.is_confirmed(cause) and cause.state not in PRODUCTION_CAUSES | {BASELINE}:
        return "set_apart"
    return "provisional" if missing else "verified"


def _by_founding(parts: Parts, look: Look) -> bool:
    return any(claim.id in look.founding for claim in parts.standing_on())


def _without_contesting(parts: Parts, look: Look, grounds: Grounds) -> Look | None:
    """The claims as they would stand had nobody contested those it rests on; None where nobody has."""
    contested = [claim for claim in parts.standing_on() if grounds.contesting(claim)]
    if not contested:
        return None
    without = {claim.id: decide_claim(claim, grounds, grounds.contesting(claim)) for claim in contested}
    return Look(
        words={**look.words, **{claim: decision.word for claim, decision in without.items()}},
        founding=look.founding | {claim for claim, decision in without.items() if decision.founding},
    )


def _missing(
    parts: Parts,
    settled: Sequence[Parts],
    look: Look,
    grounds: Grounds,
    claims: Mapping[str, ClaimStanding],
) -> tuple[str, ...]:
    """What keeps the variant from being verified. It is verified when this is empty."""
    missing: list[str] = []
    if not grounds.facts.release_accepted:
        missing.append(wording.accept_release())
    if not parts.differences:
        missing.append(wording.a_difference())
    for claim in parts.differences:
        if not look.is_confirmed(claim):
            missing += claims[claim.id].missing or (wording.to_be_confirmed(wording.label(claim)),)
        if not claim.accepted:
            missing.append(wording.accept_detail(claim))
    missing += _missing_cause(parts, look, grounds, claims)
    missing += _missing_examples(parts.differences, grounds)
    missing += _missing_distance(parts, settled, look)
    return tuple(dict.fromkeys(missing))


def _missing_cause(
    parts: Parts, look: Look, grounds: Grounds, claims: Mapping[str, ClaimStanding]
) -> tuple[str, ...]:
    cause = parts.cause
    if cause is None or cause.state == NOT_KNOWN:
        return (wording.a_cause(),)
    if look.is_confirmed(cause) or (grounds.needs_no_vote(cause) and look.words[cause.id] == "open"):
        return ()
    return claims[cause.id].missing or (wording.to_be_confirmed(wording.label(cause)),)


def _missing_examples(differences: Sequence[ClaimFact], grounds: Grounds) -> list[str]:
    """Each difference on two independent examples; of two such, one shows all and the other at least one."""
    missing: list[str] = []
    for claim in differences:
        examples = grounds.proof.examples_of(claim.id)
        if not grounds.proof.has_independent_pair(examples):
            sentence = wording.one_more_example if examples else wording.two_examples
            missing.append(sentence(wording.label(claim)))
    if not missing and differences and not grounds.proof.shows_together(differences):
        missing.append(wording.all_on_one_example([wording.label(claim) for claim in differences]))
    return missing


def _missing_distance(parts: Parts, settled: Sequence[Parts], look: Look) -> list[str]:
    """What it takes to tell the variant from each settled earlier one by a trait confirmed on both.

    Where one of its own differences would do that once it is confirmed, the sentence on that claim is enough.
    """
    missing: list[str] = []
    for earlier in settled:
        theirs = {claim.trait: claim for claim in earlier.claims}
        apart = [claim for claim in parts.claims if _state_in(theirs, claim) not in (None, claim.state)]
        theirs_confirmed = [claim for claim in apart if look.is_confirmed(theirs[claim.trait])]
        if any(look.is_confirmed(claim) or claim.is_difference for claim in theirs_confirmed):
            continue
        title = earlier.variant.title or earlier.variant.id
        waiting = [claim for claim in apart if look.is_confirmed(claim) or claim.is_difference]
        if waiting:
            missing.append(wording.confirmed_there_too(wording.label(waiting[0]), title))
        else:
            missing.append(wording.differ_from(title))
    return missing


def _state_in(claims: Mapping[str, ClaimFact], like: ClaimFact) -> str | None:
    return claims[like.trait].state if like.trait in claims else None
