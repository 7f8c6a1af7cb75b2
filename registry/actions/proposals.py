"""Make what a report proposes: a casting, release, pack, trait or state that the catalogue does not have yet.

Usable at once, marked `proposed`. A name close to a known one is asked about first (NearTwin) unless `is_new` says
that the author has seen the question. Each proposal has a journal line of its own, beside that of the report.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any, Protocol, TypeVar

from django.db import IntegrityError, models, transaction
from rapidfuzz import fuzz

from registry.errors import InvalidField, NearTwin, TwinExists, UnknownReference
from registry.methods.identifiers import parse_gtin
from registry.methods.skeleton import skeleton
from registry.models import (
    DOES_NOT_APPLY,
    Acceptance,
    Adoption,
    Casting,
    JournalEntry,
    Line,
    Maker,
    Member,
    Pack,
    PackContent,
    PackKind,
    Place,
    Release,
    State,
    Trait,
    TraitKind,
    name_key,
)
from registry.sentences import Sentence

from . import wording
from .index import SEARCHED, index

NEAR = 86
"""Similarity in percent from which two names are near twins (rapidfuzz's ratio of the folded names)."""


T = TypeVar("T", bound=models.Model)


class Named(Protocol):
    name: str
    public_id: str


def said_truth(said: dict[str, Any], key: str, unless_said: bool = False) -> bool:
    return wording.truth(f"proposes.{key}", said.get(key, unless_said))


def refuse_twins(field: str, name: str, known: Iterable[Named], is_new: bool) -> None:
    """Errors: TwinExists where the folded name is taken; NearTwin where it is close and `is_new` is not said."""
    listed = list(known)
    for other in listed:
        if name_key(other.name) == name_key(name):
            raise TwinExists(
                Sentence(
                    "%(field)s: %(name)s is already listed as %(other)s. Use that one.",
                    field=field,
                    name=repr(name),
                    other=repr(other.name),
                ),
                field=field,
                twin=getattr(other, "survivor", other).public_id,
            )
    if not is_new:
        refuse_near(field, name, listed)


def refuse_near(field: str, name: str, known: Iterable[Named]) -> None:
    """Errors: NearTwin where a folded name is the same or close, or looks the same."""
    near = [other for other in known if is_near(name, other.name)]
    if near:
        names = ", ".join(repr(other.name) for other in near)
        raise NearTwin(
            Sentence(
                "%(field)s: %(name)s is very close to %(names)s. Use the known one, or confirm that "
                "yours is another.",
                field=field,
                name=repr(name),
                names=names,
            ),
            field=field,
            twins=[{"id": other.public_id, "name": other.name} for other in near],
        )


def is_near(name: str, other: str) -> bool:
    """Almost the same letters, or other letters that look the same."""
    return fuzz.ratio(name_key(name), name_key(other)) >= NEAR or skeleton(name) == skeleton(other)


def enlist(model: type[T], field: str, **values: Any) -> T:
    """Insert a row whose name was free a moment ago. Errors: TwinExists where somebody was quicker."""
    try:
        with transaction.atomic():
            return model._default_manager.create(**values)
    except IntegrityError:
        raise TwinExists(
            Sentence(
                "%(field)s: %(name)s was listed by somebody else in this moment. Use that one.",
                field=field,
                name=repr(values["name"]),
            ),
            field=field,
        ) from None


def part(field: str, said: object) -> dict[str, Any]:
    """One proposal as an object. Errors: InvalidField for anything else."""
    if not isinstance(said, dict):
        raise InvalidField(field, said, Sentence("Send an object with a name."))
    return said


def added(thing: Any, by: Member, at: datetime, **detail: Any) -> None:
    """The journal line and the search entry that everything new in the catalogue ends with."""
    verb = f"{thing._meta.model_name}.added"
    JournalEntry.objects.record(by=by, verb=verb, about=thing, at=at, detail=detail)
    if type(thing) in SEARCHED:
        index(thing)


def propose_casting(said: object, by: Member, at: datetime) -> Casting:
    said = part("proposes.casting", said)
    maker = found(Maker, "proposes.casting.maker", said.get("maker"))
    name = wording.line("proposes.casting.name", said.get("name"), 80)
    refuse_twins(
        "proposes.casting.name",
        name,
        Casting.objects.current().filter(maker=maker),
        said_truth(said, "is_new"),
    )
    casting = enlist(
        Casting,
        "proposes.casting.name",
        maker=maker,
        name=name,
        what=wording.line("proposes.casting.what", said.get("what"), 80, required=False),
        acceptance=Acceptance.PROPOSED,
        proposed_by=by,
    )
    added(casting, by, at, accepted=False)
    return casting


def propose_release(said: dict[str, Any], casting: Casting, by: Member, at: datetime) -> Release:
    """A release of the casting; it adopts every standard check of its line.

    One name may come in several numbers or liveries a year: such a namesake is asked about like a near twin.
    """
    line = found(Line, "proposes.release.line", said.get("line"))
    if line.maker_id != casting.maker_id:
        raise InvalidField(
            "proposes.release.line", line.name, Sentence("Choose a line of %(maker)s.", maker=casting.maker)
        )
    name = wording.line("proposes.release.name", said.get("name"), 120)
    year = wording.whole("proposes.release.year", said.get("year"), 1900, at.year + 1)
    number = wording.line("proposes.release.number", said.get("number"), 40, required=False)
    livery = wording.line("proposes.release.livery", said.get("livery"), 120, required=False)
    siblings = Release.objects.current().filter(casting=casting, line=line, year=year)
    refuse_twins("proposes.release.name", name, siblings.filter(number=number, livery=livery), is_new=True)
    if not said.get("is_new"):
        refuse_near("proposes.release.name", name, siblings)
    release = enlist(
        Release,
        "proposes.release.name",
        casting=casting,
        line=line,
        name=name,
        year=year,
        number=number,
        livery=livery,
        acceptance=Acceptance.PROPOSED,
        proposed_by=by,
    )
    checks = Trait.objects.filter(line=line, acceptance=Acceptance.ACCEPTED)
    Adoption.objects.bulk_create(Adoption(release=release, trait=trait) for trait in checks)
    added(release, by, at, accepted=False, release=release.public_id)
    return release


def propose_trait(said: dict[str, Any], release: Release, by: Member, at: datetime) -> Trait:
    """A trait of the release's casting, adopted by the release at once."""
    name = wording.line("proposes.traits.name", said.get("name"), 80)
    adopted = list(Trait.objects.filter(adoptions__release=release))
    refuse_twins("proposes.traits.name", name, adopted, said_truth(said, "is_new"))
    taken = {trait.key for trait in adopted} | set(
        Trait.objects.filter(casting=release.casting).values_list("key", flat=True)
    )
    kind = wording.choice("proposes.traits.kind", said.get("kind"), TraitKind)
    if kind is TraitKind.CAUSE:
        raise InvalidField(
            "proposes.traits.kind", kind.value, Sentence("Cause is built in. Choose another kind.")
        )
    trait = enlist(
        Trait,
        "proposes.traits.name",
        casting=release.casting,
        key=wording.key_from(name, taken | {"cause"}),
        name=name,
        kind=kind,
        place=wording.choice("proposes.traits.place", said.get("place"), Place),
        how_to_inspect=wording.line(
            "proposes.traits.how_to_inspect", said.get("how_to_inspect"), 300, required=False
        ),
        seen_in_pack=said_truth(said, "seen_in_pack"),
        # A moderator may relax this on accepting; until then the stricter proof is asked for.
        alterable=said_truth(said, "alterable", True),
        acceptance=Acceptance.PROPOSED,
        proposed_by=by,
    )
    add_does_not_apply(trait)
    Adoption.objects.create(release=release, trait=trait)
    added(trait, by, at, accepted=False)
    return trait


def propose_state(said: dict[str, Any], trait: Trait, by: Member, at: datetime) -> State:
    if trait.is_cause:
        raise InvalidField(
            "proposes.states.trait", trait.name, Sentence("The causes are fixed. Choose one of them.")
        )
    name = wording.line("proposes.states.name", said.get("name"), 80)
    known = list(State.objects.filter(trait=trait))
    refuse_twins("proposes.states.name", name, known, said_truth(said, "is_new"))
    state = enlist(
        State,
        "proposes.states.name",
        trait=trait,
        key=wording.key_from(name, {state.key for state in known}),
        name=name,
        is_absence=said_truth(said, "is_absence"),
        acceptance=Acceptance.PROPOSED,
        proposed_by=by,
    )
    added(state, by, at, accepted=False)
    return state


def propose_pack(said: object, release: Release, by: Member, at: datetime) -> Pack:
    said = part("proposes.pack", said)
    name = wording.line("proposes.pack.name", said.get("name"), 120)
    refuse_twins("proposes.pack.name", name, release.packs.all(), said_truth(said, "is_new"))
    pack = Pack.objects.create(
        line=release.line,
        name=name,
        kind=wording.choice("proposes.pack.kind", said.get("kind"), PackKind),
        gtin=gtin("proposes.pack.gtin", said.get("gtin")),
        is_sealed=said_truth(said, "is_sealed", True),
        is_see_through=said_truth(said, "is_see_through", True),
        acceptance=Acceptance.PROPOSED,
        proposed_by=by,
    )
    PackContent.objects.create(pack=pack, release=release)
    added(
        pack,
        by,
        at,
        accepted=False,
        releases=[release.public_id],
        sealed=pack.is_sealed,
        see_through=pack.is_see_through,
    )
    return pack


def add_does_not_apply(trait: Trait) -> State:
    """The state every trait is born with."""
    return State.objects.create(trait=trait, key=DOES_NOT_APPLY, name="does not apply", is_built_in=True)


def gtin(field: str, value: object) -> str:
    """A GTIN widened to 14 digits, or blank."""
    if value in (None, ""):
        return ""
    try:
        return parse_gtin(str(value))
    except ValueError as fault:
        raise InvalidField(field, value, fault.args[0]) from None


def found(model: Any, field: str, public_id: object) -> Any:
    """The row an id names, or its survivor. Errors: UnknownReference."""
    row = None
    if isinstance(public_id, str) and len(public_id) <= 40 and public_id.isascii():
        row = model.objects.filter(public_id=public_id.replace("-", "").strip().lower()).first()
    if row is None:
        raise UnknownReference(
            field,
            public_id,
            Sentence("Give the id of a %(kind)s that is listed.", kind=wording.KINDS[model._meta.model_name]),
        )
    return getattr(row, "survivor", row)
