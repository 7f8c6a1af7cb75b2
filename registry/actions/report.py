"""What a report says, read from its draft and checked against the catalogue before anything is written of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from registry.errors import InvalidField, UnknownReference
from registry.models import (
    Adoption,
    Casting,
    Cause,
    Claim,
    Example,
    Member,
    Release,
    State,
    Submission,
    Trait,
    Variant,
)
from registry.queries.reporting import is_compatible
from registry.sentences import Sentence

from . import wording
from .proposals import (
    found,
    part,
    propose_casting,
    propose_pack,
    propose_release,
    propose_state,
    propose_trait,
)

CLAIM_KINDS = ("difference", "alike", "stated")
MOST_CLAIMS = 200


@dataclass(frozen=True)
class SaidClaim:
    """One claim of a report; `base_state` is the other side of a difference where the author named it."""

    trait: Trait
    state: State
    is_difference: bool
    base_state: State | None


@dataclass
class Named:
    """What `ref:...` stands for inside one report."""

    traits: dict[str, Trait] = field(default_factory=dict)
    states: dict[str, State] = field(default_factory=dict)
    examples: dict[str, Example] = field(default_factory=dict)


def objects(name: str, value: object) -> list[dict[str, Any]]:
    if value is None:
        return []
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        raise InvalidField(name, value, Sentence("Send a list of objects."))
    if len(value) > MOST_CLAIMS:
        raise InvalidField(name, len(value), Sentence("Send at most %(most)s.", most=MOST_CLAIMS))
    return value


def proposals(draft: Submission) -> dict[str, Any]:
    said = draft.content.get("proposes") or {}
    known = {"casting", "release", "traits", "states", "pack"}
    if not isinstance(said, dict) or set(said) - known:
        raise InvalidField(
            "proposes", said, Sentence("Propose only: %(ones)s.", ones=", ".join(sorted(known)))
        )
    return said


def the_release(draft: Submission, by: Member, at: datetime) -> Release:
    """The release reported on, made first where the report proposes it. Errors: InvalidField when there is none."""
    said = proposals(draft)
    if "release" not in said:
        if draft.release is None:
            raise InvalidField(
                "release", None, Sentence("Choose the release, or propose one, before sending.")
            )
        if "casting" in said:
            raise InvalidField(
                "proposes.casting",
                said["casting"],
                Sentence(
                    "%(release)s has a casting. Propose none, or a release of it.", release=draft.release
                ),
            )
        return draft.release.survivor
    if draft.variant or draft.release:
        known = draft.variant or draft.release
        raise InvalidField(
            "proposes.release",
            said["release"],
            Sentence("This report is on %(known)s. Propose no release.", known=known),
        )
    wanted = part("proposes.release", said["release"])
    casting: Casting | None = draft.casting
    if "casting" in said:
        casting = propose_casting(said["casting"], by, at)
    elif casting is None and isinstance(wanted.get("casting"), str):
        casting = found(Casting, "proposes.release.casting", wanted["casting"])
    if casting is None:
        raise InvalidField("casting", None, Sentence("Choose the casting, or propose one."))
    return propose_release(wanted, casting.survivor, by, at)


def named(draft: Submission, release: Release, by: Member, at: datetime) -> Named:
    """Make the proposed pack, traits and states, and keep what each `ref` stands for."""
    said, names = proposals(draft), Named()
    if "pack" in said:
        propose_pack(said["pack"], release, by, at)
    for item in objects("proposes.traits", said.get("traits")):
        names.traits[fresh_ref("proposes.traits", item, names.traits)] = propose_trait(item, release, by, at)
    for item in objects("proposes.states", said.get("states")):
        trait = look_up(Trait, "proposes.states.trait", item.get("trait"), names.traits)
        names.states[fresh_ref("proposes.states", item, names.states)] = propose_state(item, trait, by, at)
    return names


def fresh_ref(name: str, item: Mapping[str, Any], taken: Mapping[str, Any]) -> str:
    """What the rest of the report calls this item by. Errors: InvalidField where another item bears the same name."""
    said = item.get("ref")
    if said is not None and f"ref:{said}" in taken:
        raise InvalidField(f"{name}.ref", said, Sentence("Use each ref once."))
    return f"ref:{said}"


def look_up(model: Any, name: str, said: object, refs: Mapping[str, Any]) -> Any:
    if isinstance(said, str) and said.startswith("ref:"):
        if said not in refs:
            raise UnknownReference(name, said, Sentence("The report proposes nothing under this name."))
        return refs[said]
    return found(model, name, said)


def said_claims(draft: Submission, release: Release, names: Named) -> list[SaidClaim]:
    """The claims of the report, each on a trait that the release has adopted, at most one a trait."""
    adopted = set(Adoption.objects.filter(release=release).values_list("trait", flat=True))
    claims: list[SaidClaim] = []
    for at, item in enumerate(objects("claims", draft.content.get("claims"))):
        where = f"claims[{at}]"
        trait = look_up(Trait, f"{where}.trait", item.get("trait"), names.traits)
        if trait.pk not in adopted:
            raise InvalidField(
                f"{where}.trait",
                trait.name,
                Sentence(
                    "%(release)s has not adopted this detail. Choose one of its own, or propose a new one.",
                    release=release,
                ),
            )
        if any(claim.trait.pk == trait.pk for claim in claims):
            raise InvalidField(f"{where}.trait", trait.name, Sentence("Say one state for each detail."))
        kind = item.get("kind", "stated")
        if kind not in CLAIM_KINDS:
            raise InvalidField(
                f"{where}.kind", kind, Sentence("Choose one of: %(ones)s.", ones=", ".join(CLAIM_KINDS))
            )
        base = item.get("base_state")
        claims.append(
            SaidClaim(
                trait=trait,
                state=state_of(trait, f"{where}.state", item.get("state"), names),
                is_difference=kind == "difference",
                base_state=state_of(trait, f"{where}.base_state", base, names) if base else None,
            )
        )
    return claims


def state_of(trait: Trait, name: str, said: object, names: Named) -> State:
    state: State = look_up(State, name, said, names.states)
    if state.trait.survivor != trait:
        raise InvalidField(
            name,
            state.name,
            Sentence(
                "This is a state of %(other)s. Choose a state of %(trait)s.",
                other=state.trait.name,
                trait=trait.name,
            ),
        )
    return state


def said_cause(draft: Submission) -> str | None:
    """The key of the cause the report claims; None where it does not say."""
    said = draft.content.get("cause")
    if said in (None, "", "not_known"):
        return None
    cause = wording.choice("cause", said, Cause)
    if cause is Cause.BASELINE:
        raise InvalidField(
            "cause", said, Sentence("The baseline is set by the registry on a release's first variant.")
        )
    return cause.value


def equal_variant(release: Release, claims: list[SaidClaim]) -> Variant | None:
    """A live variant of the release that the report would repeat.

    Equal: no trait claimed on both differs, and all difference claims coincide. `cause` is left aside.
    """
    ours = {claim.trait.pk: claim.state.pk for claim in claims}
    our_differences = {(claim.trait.pk, claim.state.pk) for claim in claims if claim.is_difference}
    theirs: dict[Variant, list[Claim]] = {variant: [] for variant in release.variants.live()}
    known = (
        Claim.objects.open()
        .filter(variant__in=theirs)
        .select_related("trait__merged_into", "state__merged_into")
    )
    by_id = {variant.pk: variant for variant in theirs}
    for claim in known:
        if not claim.trait.is_cause:
            theirs[by_id[claim.variant_id]].append(claim)
    for variant, kept in theirs.items():
        pairs = {claim.trait.survivor.pk: claim.state.survivor.pk for claim in kept}
        differences = {
            (claim.trait.survivor.pk, claim.state.survivor.pk) for claim in kept if claim.is_difference
        }
        if differences == our_differences and is_compatible(ours, pairs):
            return variant
    return None
