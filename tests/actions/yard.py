"""A release made through the actions alone, so that the journal knows of everything in it."""

from __future__ import annotations

from itertools import count
from typing import Any

from registry import actions
from registry.methods.policy import FIRST_POLICY
from registry.methods.replay import Line, fold
from registry.methods.standing import ReleaseStanding, decide
from registry.models import Claim, Example, JournalEntry, Member, Photo, Release, State, Trait, Variant
from registry.queries.fits import reliabilities_of
from tests.factories import MemberFactory
from tests.path import now
from tests.pictures import jpeg

_shade = count(1)


def picture() -> bytes:
    """A small picture like no other: two shades may come out of a JPEG alike, two sizes do not."""
    n = next(_shade)
    return jpeg(8 + n % 40, 8 + n // 40 % 40, (n % 256, 90, 90))


class Yard:
    """A release with a crest, a stripe and swappable wheels, six reviewers, a moderator and three collectors."""

    def __init__(self, reviewers: int = 6) -> None:
        self.moderator = self.holding("moderator")
        self.reviewers = [self.holding("reviewer") for _ in range(reviewers)]
        self.collectors = [MemberFactory() for _ in range(3)]
        maker = self.moderate("add_maker", name=f"Otterholm {next(_shade)}")
        self.line = self.moderate("add_line", maker=maker, name="Quayside", scale=64)
        self.casting = self.moderate("add_casting", maker=maker, name="Brinewagon")
        self.crest, self.gull_states = self.trait("crest", "print", "roof", ("anchor", "gull", "heron"))
        self.stripe, self.stripe_states = self.trait("stripe", "print", "left_side", ("red", "blue", "green"))
        self.wheels, self.wheel_states = self.trait(
            "wheels", "wheel", "front_wheel", ("black", "chrome", "white"), alterable=True, seen_in_pack=True
        )
        self.release: Release = self.moderate(
            "add_release", casting=self.casting, line=self.line, name="Brinewagon, high water", year=2025
        )

    def holding(self, role: str) -> Member:
        """A member given the role on the command line, so that another yard's moderator need not agree."""
        member = MemberFactory()
        actions.grant_role(member=member, role=role, by=None, at=now())
        return member

    def moderate(self, action: str, **said: Any) -> Any:
        return getattr(actions, action)(by=self.moderator, at=now(), **said)

    def trait(
        self, key: str, kind: str, place: str, states: tuple[str, ...], **said: Any
    ) -> tuple[Trait, list[State]]:
        trait = self.moderate(
            "add_trait", line=self.line, key=key, name=key.capitalize(), kind=kind, place=place, **said
        )
        return trait, [self.moderate("add_state", trait=trait, key=state, name=state) for state in states]

    def report(
        self, *states: State, by: Member | None = None, base: Variant | None = None, **content: Any
    ) -> Variant:
        """A new variant: these states differ from the base, or are stated of the release's first."""
        kind = "difference" if base else "stated"
        claims = [{"trait": s.trait.public_id, "state": s.public_id, "kind": kind} for s in states]
        draft = actions.start_draft(
            by=by or self.collectors[0], at=now(), release=self.release, differs_from=base,
            content={"claims": claims, **content},
        )  # fmt: skip
        sent = actions.send_submission(submission=draft, by=draft.author, at=now())
        assert sent.variant is not None
        return sent.variant

    def show(
        self,
        variant: Variant,
        by: Member | None = None,
        views: tuple[str, ...] = ("seal_all_round",),
        **found: Any,
    ) -> Photo:
        """A report on a known variant: one more example, a photo of it, and a mark on each claim but the cause."""
        by = by or MemberFactory()
        draft = actions.start_draft(by=by, at=now(), variant=variant)
        photo = actions.attach_photo(by=by, at=now(), data=picture(), submission=draft)
        example = {"ref": "e", "condition": "sealed", "found_shop": f"kiosk {next(_shade)}", **found}
        claims = Claim.objects.open().filter(variant=variant).exclude(trait__key="cause")
        marks = [
            {"photo": photo.public_id, "example": "ref:e", "trait": claim.trait.survivor.public_id,
             "xywh": "percent:10,10,20,20"}
            for claim in claims.order_by("pk")
        ]  # fmt: skip
        photos = [{"photo": photo.public_id, "examples": ["ref:e"], "views": list(views)}]
        content = {"examples": [example], "photos": photos, "marks": marks}
        draft = actions.edit_draft(submission=draft, by=by, at=now(), content=content)
        actions.send_submission(submission=draft, by=by, at=now())
        return photo

    def vote(self, claim: Claim, verdict: str = "confirms", voters: int = 3, **said: Any) -> None:
        for reviewer in self.reviewers[:voters]:
            actions.cast_vote(
                claim=claim, by=reviewer, at=now(), **{"verdict": verdict, "basis": "photo", **said}
            )

    def verify(self, variant: Variant) -> Variant:
        self.show(variant)
        self.show(variant)
        for claim in (
            Claim.objects.open().filter(variant=variant).exclude(state__key="baseline").order_by("pk")
        ):
            self.vote(claim)
        variant.refresh_from_db()
        return variant

    def baseline(self) -> Variant:
        return self.verify(self.report(self.gull_states[0], self.stripe_states[0]))

    def examples(self) -> list[Example]:
        return list(Example.objects.filter(release=self.release).order_by("pk"))


def journal() -> list[Line]:
    entries = JournalEntry.objects.select_related("by").order_by("pk")
    return [Line(e.pk, e.verb, e.by.public_id if e.by else None, e.detail) for e in entries]


def replayed(release: Release) -> ReleaseStanding:
    """What the journal alone says of the release."""
    facts = fold(journal())[release.public_id]
    return decide(facts, FIRST_POLICY, reliabilities_of(facts))


def by_journal(release: Release) -> dict[str, Any]:
    now = replayed(release)
    claims = {
        name: (c.standing, c.posterior, c.counted, c.examples, c.sealed, list(c.missing), c.founding)
        for name, c in now.claims.items()
    }
    variants = {name: (v.standing, list(v.missing), v.founding) for name, v in now.variants.items()}
    return {"claims": claims, "variants": variants, "founding": now.founding}


def as_stored(release: Release) -> dict[str, Any]:
    """What the registry holds of the release, in the shape of `by_journal`."""
    columns = (
        "standing",
        "posterior",
        "votes_counted",
        "examples_shown",
        "has_sealed_proof",
        "missing",
        "is_founding",
    )
    claims = Claim.objects.filter(variant__release=release)
    variants = Variant.objects.filter(release=release)
    return {
        "claims": {claim.public_id: tuple(getattr(claim, name) for name in columns) for claim in claims},
        "variants": {v.public_id: (v.standing, v.missing, v.is_founding) for v in variants},
        "founding": Release.objects.get(pk=release.pk).is_founding,
    }
