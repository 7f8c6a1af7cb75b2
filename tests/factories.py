"""One factory for each model, valid by default; a test states only what matters to it."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime

import factory
from factory.django import DjangoModelFactory

from registry import models as m

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
"""When everything in tests happens, unless they say otherwise."""


class MemberFactory(DjangoModelFactory):
    class Meta:
        model = m.Member
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"member{n}@example.test")
    display_name = factory.Sequence(lambda n: f"Member {n}")
    joined_at = NOON

    @factory.post_generation
    def roles(self, create, extracted, **kwargs):
        """`MemberFactory(roles=["reviewer"])`."""
        for role in extracted or ():
            m.RoleGrant.objects.create(member=self, role=role, granted_by=None, granted_at=NOON)
        self.__dict__.pop("roles", None)


class ReviewerFactory(MemberFactory):
    roles = factory.PostGeneration(
        lambda self, create, extracted, **kw: _grant(self, extracted or ["reviewer"])
    )


class ModeratorFactory(MemberFactory):
    roles = factory.PostGeneration(
        lambda self, create, extracted, **kw: _grant(self, extracted or ["moderator"])
    )


def _grant(member, roles):
    for role in roles:
        m.RoleGrant.objects.create(member=member, role=role, granted_by=None, granted_at=NOON)
    member.__dict__.pop("roles", None)


class MakerFactory(DjangoModelFactory):
    class Meta:
        model = m.Maker

    name = factory.Sequence(lambda n: f"Otterholm Works {n}")


class LineFactory(DjangoModelFactory):
    class Meta:
        model = m.Line

    maker = factory.SubFactory(MakerFactory)
    name = factory.Sequence(lambda n: f"Quayside {n}")
    scale = 64


class CastingFactory(DjangoModelFactory):
    class Meta:
        model = m.Casting

    maker = factory.SubFactory(MakerFactory)
    name = factory.Sequence(lambda n: f"Brinewagon {n}")
    what = "salt lorry"


class ReleaseFactory(DjangoModelFactory):
    class Meta:
        model = m.Release

    line = factory.SubFactory(LineFactory)
    casting = factory.SubFactory(CastingFactory, maker=factory.SelfAttribute("..line.maker"))
    name = factory.Sequence(lambda n: f"Brinewagon, high water {n}")
    number = factory.Sequence(lambda n: f"Q64-{n:03d}")
    year = 2025
    livery = "harbour green"


class AssortmentFactory(DjangoModelFactory):
    class Meta:
        model = m.Assortment

    line = factory.SubFactory(LineFactory)
    name = factory.Sequence(lambda n: f"Neap tide {n}")
    case_code = factory.Sequence(lambda n: f"NT-{n}")


class AssortmentItemFactory(DjangoModelFactory):
    class Meta:
        model = m.AssortmentItem

    release = factory.SubFactory(ReleaseFactory)
    assortment = factory.SubFactory(AssortmentFactory, line=factory.SelfAttribute("..release.line"))
    per_case = 2


class CaseContentFactory(DjangoModelFactory):
    class Meta:
        model = m.CaseContent

    variant = factory.SubFactory("tests.factories.VariantFactory")
    assortment = factory.LazyAttribute(
        lambda self: AssortmentItemFactory(release=self.variant.release, per_case=None).assortment
    )
    per_case = 2
    source = "Printed on the case"


class PackFactory(DjangoModelFactory):
    class Meta:
        model = m.Pack

    line = factory.SubFactory(LineFactory)
    name = factory.Sequence(lambda n: f"Single card {n}")
    kind = m.PackKind.SINGLE_CARD


class PackContentFactory(DjangoModelFactory):
    class Meta:
        model = m.PackContent

    release = factory.SubFactory(ReleaseFactory)
    pack = factory.SubFactory(PackFactory, line=factory.SelfAttribute("..release.line"))


class TraitFactory(DjangoModelFactory):
    """A standard check of a line; `adopted_by=release` puts it on a release of that line."""

    class Meta:
        model = m.Trait
        skip_postgeneration_save = True

    line = factory.SubFactory(LineFactory)
    key = factory.Sequence(lambda n: f"roof_crest_{n}")
    name = factory.Sequence(lambda n: f"Roof crest {n}")
    place = m.Place.ROOF
    kind = m.TraitKind.PRINT
    seen_in_pack = True
    alterable = False

    @factory.post_generation
    def adopted_by(self, create, extracted, **kwargs):
        if extracted is not None:
            m.Adoption.objects.create(release=extracted, trait=self)


class StateFactory(DjangoModelFactory):
    class Meta:
        model = m.State

    trait = factory.SubFactory(TraitFactory)
    key = factory.Sequence(lambda n: f"anchor_{n}")
    name = factory.Sequence(lambda n: f"anchor {n}")


class VariantFactory(DjangoModelFactory):
    """A bare variant row with revision 1 and no claims; tests of the path send reports instead."""

    class Meta:
        model = m.Variant
        skip_postgeneration_save = True

    release = factory.SubFactory(ReleaseFactory)
    title = factory.Sequence(lambda n: f"Anchor crest {n}")
    sent_at = NOON
    changed_at = NOON

    @factory.post_generation
    def revision(self, create, extracted, **kwargs):
        m.Revision(
            variant=self,
            number=1,
            claims=[],
            title=self.title,
            reason="First reported.",
            at=NOON,
            digest="0" * 64,
        ).save()


class ClaimFactory(DjangoModelFactory):
    class Meta:
        model = m.Claim

    variant = factory.SubFactory(VariantFactory)
    trait = factory.SubFactory(TraitFactory, line=factory.SelfAttribute("..variant.release.line"))
    state = factory.SubFactory(StateFactory, trait=factory.SelfAttribute("..trait"))
    author = factory.SubFactory(MemberFactory)
    since_revision = 1
    opened_at = NOON


class SubmissionFactory(DjangoModelFactory):
    class Meta:
        model = m.Submission

    author = factory.SubFactory(MemberFactory)
    release = factory.SubFactory(ReleaseFactory)
    casting = factory.SelfAttribute("release.casting")
    created_at = NOON
    changed_at = NOON


class ExampleFactory(DjangoModelFactory):
    class Meta:
        model = m.Example

    release = factory.SubFactory(ReleaseFactory)
    owner = factory.SubFactory(MemberFactory)
    condition = m.Condition.SEALED
    found_month = date(2025, 3, 1)
    added_by = factory.SelfAttribute("owner")
    added_at = NOON


class PhotoFactory(DjangoModelFactory):
    """A photo row; no file is stored for it."""

    class Meta:
        model = m.Photo
        skip_postgeneration_save = True

    submission = factory.SubFactory(SubmissionFactory)
    owner = factory.SelfAttribute("submission.author")
    digest = factory.Sequence(lambda n: hashlib.sha256(f"photo {n}".encode()).hexdigest())
    upload_digest = factory.Sequence(lambda n: hashlib.sha256(f"upload {n}".encode()).hexdigest())
    width = 1200
    height = 800
    size_bytes = 100_000
    added_at = NOON

    @factory.post_generation
    def shows(self, create, extracted, **kwargs):
        """`PhotoFactory(shows=[example])`."""
        for example in extracted or ():
            m.PhotoExample.objects.create(photo=self, example=example)


class MarkFactory(DjangoModelFactory):
    class Meta:
        model = m.Mark

    claim = factory.SubFactory(ClaimFactory)
    example = factory.SubFactory(ExampleFactory, release=factory.SelfAttribute("..claim.variant.release"))
    photo = factory.SubFactory(
        PhotoFactory, submission__release=factory.SelfAttribute("...claim.variant.release")
    )
    x, y, w, h = 1000, 1000, 2000, 2000
    by = factory.SelfAttribute("photo.owner")
    at = NOON


class VoteFactory(DjangoModelFactory):
    class Meta:
        model = m.Vote

    by = factory.SubFactory(ReviewerFactory)
    claim = factory.SubFactory(ClaimFactory)
    verdict = m.Verdict.CONFIRMS
    basis = m.Basis.PHOTO
    counts = True
    at = NOON


class SightingFactory(DjangoModelFactory):
    class Meta:
        model = m.Sighting

    by = factory.SubFactory(MemberFactory)
    release = factory.SubFactory(ReleaseFactory)
    scope = m.Scope.ITEM
    seen_on = date(2025, 3, 10)
    added_at = NOON


class StatementFactory(DjangoModelFactory):
    class Meta:
        model = m.Statement

    variant = factory.SubFactory(VariantFactory)
    release = factory.SelfAttribute("variant.release")
    other = factory.SubFactory(VariantFactory, release=factory.SelfAttribute("..variant.release"))
    kind = m.StatementKind.BEFORE
    source_kind = m.SourceKind.DATED_SIGHTING
    source = "a kiosk receipt"
    author = factory.SubFactory(MemberFactory)
    added_at = NOON


class CodePatternFactory(DjangoModelFactory):
    class Meta:
        model = m.CodePattern

    line = factory.SubFactory(LineFactory)
    name = factory.Sequence(lambda n: f"Lower flap {n}")
    template = "{Y}{ww}"
    dates = "packing"
    first_year = 2020
    source = "forty flaps compared"
    added_by = factory.SubFactory(ModeratorFactory)
    added_at = NOON


class CabinetItemFactory(DjangoModelFactory):
    class Meta:
        model = m.CabinetItem

    member = factory.SubFactory(MemberFactory)
    release = factory.SubFactory(ReleaseFactory)
    condition = m.Condition.LOOSE
    added_at = NOON
    changed_at = NOON


class HuntFactory(DjangoModelFactory):
    class Meta:
        model = m.Hunt

    member = factory.SubFactory(MemberFactory)
    revision = 1
    changed_at = NOON


class InterestFactory(DjangoModelFactory):
    class Meta:
        model = m.Interest

    member = factory.SubFactory(MemberFactory)
    release = factory.SubFactory(ReleaseFactory)
    declared_at = NOON


class HeldDisputeFactory(DjangoModelFactory):
    class Meta:
        model = m.HeldDispute

    claim = factory.SubFactory(ClaimFactory)
    state = factory.SubFactory(StateFactory, trait=factory.SelfAttribute("..claim.trait"))
    opened_by = factory.SubFactory(MemberFactory)
    reason = "I see a gull."
    held_at = NOON


class ConcernFactory(DjangoModelFactory):
    class Meta:
        model = m.Concern

    kind = m.ConcernKind.LOCKSTEP
    fingerprint = factory.Sequence(lambda n: hashlib.sha256(f"concern {n}".encode()).hexdigest())
    evidence = factory.LazyFunction(lambda: {"claims": [], "targets": [], "one_address": False, "pairs": []})
    opened_at = NOON


class PendingDeedFactory(DjangoModelFactory):
    class Meta:
        model = m.PendingDeed

    kind = "role.grant"
    detail = factory.LazyFunction(lambda: {"member": MemberFactory().public_id, "role": "reviewer"})
    words = "Make somebody a reviewer"
    reason = "A steady eye."
    asked_by = factory.SubFactory(ModeratorFactory)
    asked_at = NOON
    expires_at = datetime(2099, 1, 1, tzinfo=UTC)


def states_of(trait: m.Trait, *keys: str) -> list[m.State]:
    return [StateFactory(trait=trait, key=key, name=key.replace("_", " ")) for key in keys]


class FeedEventFactory(DjangoModelFactory):
    class Meta:
        model = m.FeedEvent

    kind = "spotted"
    variant = factory.SubFactory(VariantFactory)
    release = factory.SelfAttribute("variant.release")
    line = factory.SelfAttribute("release.line")
    at = NOON


class WatchFactory(DjangoModelFactory):
    class Meta:
        model = m.Watch

    member = factory.SubFactory(MemberFactory)
    line = factory.SubFactory(LineFactory)
    seen_up_to = 0
    mailed_up_to = 0
    added_at = NOON
