"""What is inspected: moderators add traits and states, and say what a release adopts, shows and ranges over."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from registry.errors import InvalidField
from registry.models import (
    CAUSE_KEY,
    Adoption,
    Casting,
    Claim,
    Drift,
    Fidelity,
    JournalEntry,
    Line,
    Mark,
    Member,
    Place,
    Release,
    ReleaseState,
    Role,
    State,
    Trait,
    TraitKind,
)
from registry.sentences import Sentence

from . import wording
from .admission import require
from .journalled import journalled
from .proposals import add_does_not_apply, added, enlist, refuse_twins
from .restate import restated
from .settle import locked, settle_release

Lab = tuple[int, int, int]
MOST_NUMBER = 10**12


@journalled
def add_trait(
    *,
    by: Member,
    at: datetime,
    key: str,
    name: str,
    place: str,
    kind: str,
    line: Line | None = None,
    casting: Casting | None = None,
    how_to_inspect: str = "",
    seen_in_pack: bool = False,
    alterable: bool = False,
    nicknames: Sequence[str] = (),
) -> Trait:
    """A standard check of a line, or a trait of a casting; the key never changes afterwards."""
    require(by, Role.MODERATOR)
    if (line is None) == (casting is None):
        raise InvalidField("line", None, Sentence("A detail belongs to exactly one line or one casting."))
    if (
        key == CAUSE_KEY
        or Trait.objects.filter(line=line, casting=casting, key=wording.key("key", key)).exists()
    ):
        raise InvalidField("key", key, Sentence("This key is taken here. Keys are never used again."))
    chosen = wording.choice("kind", kind, TraitKind)
    if chosen is TraitKind.CAUSE:
        raise InvalidField("kind", kind, Sentence("Cause is built in. Choose another kind."))
    trait = enlist(
        Trait,
        "key",
        line=line,
        casting=casting,
        key=key,
        name=wording.line("name", name, 80),
        nicknames=wording.lines("nicknames", nicknames, 60),
        place=wording.choice("place", place, Place),
        kind=chosen,
        how_to_inspect=wording.line("how_to_inspect", how_to_inspect, 300, required=False),
        seen_in_pack=seen_in_pack,
        alterable=alterable,
    )
    add_does_not_apply(trait)
    added(trait, by, at)
    return trait


@journalled
def add_state(
    *,
    by: Member,
    at: datetime,
    trait: Trait,
    key: str,
    name: str,
    nicknames: Sequence[str] = (),
    is_absence: bool = False,
    lab: Lab | None = None,
    lab_tolerance: int | None = None,
    number: int | None = None,
    number_tolerance: int | None = None,
    unit: str = "",
) -> State:
    """`lab`: CIELAB under D50 in hundredths, tolerance in those of CIEDE2000; `number` in micrometres, or a count."""
    require(by, Role.MODERATOR)
    if trait.is_cause:
        raise InvalidField("trait", trait.name, Sentence("The causes are fixed."))
    if State.objects.filter(trait=trait, key=wording.key("key", key)).exists():
        raise InvalidField("key", key, Sentence("This key is taken here. Keys are never used again."))
    name = wording.line("name", name, 80)
    refuse_twins("name", name, trait.states.all(), is_new=True)
    if number is not None and not unit:
        raise InvalidField(
            "unit", unit, Sentence("Say in which unit the number is: um for lengths, count for a count.")
        )
    state = enlist(
        State,
        "key",
        trait=trait,
        key=key,
        name=name,
        nicknames=wording.lines("nicknames", nicknames, 60),
        is_absence=is_absence,
        **dict(zip(("lab_l", "lab_a", "lab_b"), checked_lab(lab), strict=True)),
        lab_tolerance=wording.whole_if_given("lab_tolerance", lab_tolerance, 0, 16_000),
        number=wording.whole_if_given("number", number, -MOST_NUMBER, MOST_NUMBER),
        number_tolerance=wording.whole_if_given("number_tolerance", number_tolerance, 0, MOST_NUMBER),
        unit=wording.line("unit", unit, 8, required=False),
    )
    added(state, by, at)
    return state


def checked_lab(lab: Lab | None) -> tuple[int | None, int | None, int | None]:
    if lab is None:
        return None, None, None
    if not 0 <= lab[0] <= 10_000 or any(abs(part) > 16_000 for part in lab[1:]):
        raise InvalidField("lab", list(lab), Sentence("Send L*, a*, b* in hundredths, L* from 0 to 10000."))
    return lab


@journalled
def adopt_trait(
    *,
    by: Member,
    at: datetime,
    release: Release,
    trait: Trait,
    place: str = "",
    note: str = "",
    seen_in_pack: bool | None = None,
) -> Adoption:
    """The release takes up a trait of its line or casting, or says otherwise where it sits or is seen."""
    require(by, Role.MODERATOR)
    locked(release)
    is_known = Adoption.objects.filter(release=release, trait=trait).exists()
    adoption = adopt(
        release,
        trait,
        place=wording.choice("place", place, Place) if place else "",
        note=wording.line("note", note, 300, required=False),
        seen_in_pack=seen_in_pack,
    )
    detail: dict[str, Any] = {"trait": trait.public_id, "seen_in_pack": adoption.is_seen_in_pack}
    if is_known:
        detail["claims"] = restated(Claim.objects.on(trait).filter(variant__release=release))
    verb = "adoption.changed" if is_known else "trait.adopted"
    JournalEntry.objects.record(by=by, verb=verb, about=release, at=at, detail=detail)
    settle_release(release=release, at=at)
    return adoption


def adopt(release: Release, trait: Trait, **said: Any) -> Adoption:
    """Errors: InvalidField for a trait of elsewhere, or one whose key another adopted trait already has."""
    if trait.line_id != release.line_id and trait.casting_id != release.casting_id:
        raise InvalidField(
            "trait",
            trait.name,
            Sentence(
                "Choose a detail of %(line)s or of %(casting)s.", line=release.line, casting=release.casting
            ),
        )
    clash = Adoption.objects.filter(release=release, trait__key=trait.key).exclude(trait=trait)
    if clash.exists():
        raise InvalidField(
            "trait",
            trait.key,
            Sentence("%(release)s already has another detail with this key.", release=release),
        )
    adoption, _ = Adoption.objects.update_or_create(release=release, trait=trait, defaults=said)
    return adoption


def refuse_unadopted(field: str, release: Release, trait: Trait) -> None:
    """Errors: InvalidField for a trait that the release has not adopted."""
    if not Adoption.objects.filter(release=release, trait=trait).exists():
        raise InvalidField(
            field,
            trait.name,
            Sentence("%(release)s has not adopted this detail. Adopt it first.", release=release),
        )


@journalled
def set_fidelity(
    *,
    by: Member,
    at: datetime,
    release: Release,
    state: State,
    fidelity: str,
    subject: str = "",
    source: str = "",
) -> ReleaseState:
    """How true a state of this release is to a named full-size subject, with the source of the comparison."""
    require(by, Role.MODERATOR)
    refuse_unadopted("state", release, state.trait.survivor)
    chosen = wording.choice("fidelity", fidelity, Fidelity)
    subject = wording.line("subject", subject, 120, required=chosen in (Fidelity.MATCHES, Fidelity.DEPARTS))
    source = wording.line("source", source, 200, required=chosen in (Fidelity.MATCHES, Fidelity.DEPARTS))
    kept, _ = ReleaseState.objects.update_or_create(
        release=release, state=state, defaults={"fidelity": chosen, "subject": subject, "source": source}
    )
    detail = {"state": state.public_id, "fidelity": chosen.value}
    JournalEntry.objects.record(by=by, verb="fidelity.set", about=release, at=at, detail=detail)
    return kept


@journalled
def set_sample(*, by: Member, at: datetime, release: Release, state: State, mark: Mark) -> ReleaseState:
    """Choose the region of a photo that shows best what the state looks like on this release."""
    require(by, Role.MODERATOR)
    if mark.claim.variant.release_id != release.pk or mark.claim.state.survivor != state.survivor:
        raise InvalidField(
            "mark",
            mark.public_id,
            Sentence("Choose a mark that shows %(state)s on %(release)s.", state=state, release=release),
        )
    kept, _ = ReleaseState.objects.update_or_create(release=release, state=state, defaults={"sample": mark})
    detail = {"state": state.public_id, "mark": mark.public_id}
    JournalEntry.objects.record(by=by, verb="sample.set", about=release, at=at, detail=detail)
    return kept


@journalled
def record_drift(
    *,
    by: Member,
    at: datetime,
    release: Release,
    trait: Trait,
    note: str,
    source: str,
    low: int | None = None,
    high: int | None = None,
    unit: str = "",
) -> Drift:
    """The normal range of a shade, gloss or position: what lies inside is no change."""
    require(by, Role.MODERATOR)
    if (low is None) != (high is None) or (low is None) != (not unit) or (low is not None and low > high):  # type: ignore[operator]
        raise InvalidField(
            "low", low, Sentence("Give low, high and unit together, low first, or none of them.")
        )
    refuse_unadopted("trait", release, trait)
    drift = Drift.objects.create(
        release=release,
        trait=trait,
        low=low,
        high=high,
        unit=wording.line("unit", unit, 8, required=False),
        note=wording.line("note", note, 300),
        source=wording.line("source", source, 200),
        added_by=by,
    )
    detail = {"release": release.public_id, "trait": trait.public_id}
    JournalEntry.objects.record(by=by, verb="drift.recorded", about=drift, at=at, detail=detail)
    return drift
