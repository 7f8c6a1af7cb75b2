"""Short ways along the main path, through the actions themselves, for tests that start further on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import count
from typing import Any
from unittest.mock import patch

from registry import actions
from registry.models import Claim, Example, Member, Photo, Release, State, Submission, Trait, Variant

from .factories import (
    NOON,
    ExampleFactory,
    MemberFactory,
    ModeratorFactory,
    PhotoFactory,
    ReleaseFactory,
    ReviewerFactory,
    TraitFactory,
    states_of,
)

_tick = count(1)


def now() -> datetime:
    """A moment later than any given before, so that order never depends on the clock."""
    return NOON + timedelta(seconds=next(_tick))


@contextmanager
def settled_once(release: Release) -> Iterator[None]:
    """Marks and votes given within settle the release when all of them are there, not each of them: that settling
    anew comes to the same is tested elsewhere, and takes most of the time.
    """
    with (
        patch("registry.actions.mark.settle_release"),
        patch("registry.actions.vote.settle_release"),
    ):
        yield
    actions.settle_release(release=release, at=now())


@dataclass
class Scene:
    """A release with a crest, a stripe and wheels to look at, enough reviewers for the full policy, a moderator."""

    release: Release = field(default_factory=ReleaseFactory)

    def __post_init__(self) -> None:
        line = self.release.line
        self.crest = TraitFactory(line=line, key="crest", name="Roof crest", adopted_by=self.release)
        self.stripe = TraitFactory(line=line, key="stripe", name="Side stripe", adopted_by=self.release)
        self.wheels = TraitFactory(
            line=line,
            key="wheels",
            name="Wheels",
            kind="wheel",
            place="front_wheel",
            alterable=True,
            adopted_by=self.release,
        )
        self.anchor, self.gull = states_of(self.crest, "anchor", "gull")
        self.red, self.blue = states_of(self.stripe, "red", "blue")
        self.black, self.chrome = states_of(self.wheels, "black", "chrome")
        self.moderator = ModeratorFactory()
        self.reviewers = [ReviewerFactory() for _ in range(6)]
        self.author = MemberFactory()

    def example(self, owner: Member | None = None, **found: Any) -> Example:
        """A sealed example found in a month and a shop of its own."""
        n = next(_tick)
        return ExampleFactory(
            release=self.release,
            owner=owner or MemberFactory(),
            **{
                "found_month": datetime(2000 + n % 25, 1 + n % 12, 1).date(),
                "found_shop": f"kiosk {n}",
                **found,
            },
        )

    def draft(self, by: Member | None = None, base: Variant | None = None, **content: Any) -> Submission:
        return actions.start_draft(
            by=by or self.author, at=now(), release=self.release, differs_from=base, content=content
        )

    def report(
        self, *states: State, by: Member | None = None, base: Variant | None = None, **content: Any
    ) -> Variant:
        """Send a report of these states: differences where there is a base, else the release's first variant."""
        claims = [
            {"trait": s.trait.public_id, "state": s.public_id, "kind": "difference" if base else "stated"}
            for s in states
        ]
        draft = self.draft(by=by, base=base, claims=claims, **content)
        sent = actions.send_submission(submission=draft, by=draft.author, at=now())
        assert sent.variant is not None
        return sent.variant

    def show(self, variant: Variant, owner: Member | None = None, example: Example | None = None) -> Example:
        """A photo of one more example, sealed all round, with a mark on each open claim of the variant."""
        example = example or self.example(owner=owner)
        photo = self.photo(example)
        for claim in Claim.objects.open().filter(variant=variant).exclude(trait__key="cause"):
            self.mark(claim, photo, example)
        return example

    def photo(self, *examples: Example, views: tuple[str, ...] = ("seal_all_round",), **fields: Any) -> Photo:
        owner = examples[0].owner or self.author
        if "dispute" in fields:
            return PhotoFactory(submission=None, owner=owner, views=list(views), shows=examples, **fields)
        return PhotoFactory(
            submission__release=self.release,
            submission__author=owner,
            submission__sent_at=NOON,
            owner=owner,
            views=list(views),
            shows=examples,
            **fields,
        )

    def mark(self, claim: Claim, photo: Photo, example: Example) -> None:
        actions.mark_region(
            photo=photo, example=example, claim=claim, xywh=(1000, 1000, 2000, 2000), by=photo.owner, at=now()
        )

    def vote(self, claim: Claim, verdict: str = "confirms", voters: int = 3, **fields: Any) -> None:
        for reviewer in self.reviewers[:voters]:
            actions.cast_vote(
                claim=claim, by=reviewer, at=now(), **{"verdict": verdict, "basis": "photo", **fields}
            )

    def verify(self, variant: Variant) -> Variant:
        """Two independent examples and three votes on every claim but a baseline cause."""
        with settled_once(self.release):
            self.show(variant)
            self.show(variant)
            for claim in Claim.objects.open().filter(variant=variant).exclude(state__key="baseline"):
                self.vote(claim)
        variant.refresh_from_db()
        return variant

    def baseline(self) -> Variant:
        """The release's first variant, verified."""
        return self.verify(self.report(self.anchor, self.red))

    def change(self, base: Variant, *states: State, cause: str = "running_change") -> Variant:
        """A further variant that differs from the base, verified."""
        return self.verify(self.report(*states, base=base, cause=cause))


def claim_on(variant: Variant, trait: Trait) -> Claim:
    """The open claim of a variant on a trait."""
    return Claim.objects.open().get(variant=variant, trait=trait)
