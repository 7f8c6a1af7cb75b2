"""How long a vote takes to become a standing, in registries of a thousand, a hundred thousand and a million claims.

    python -m benchmarks.consensus.standing                     on SQLite, in a temporary folder
    DATABASE_URL=postgres://... python -m benchmarks.consensus.standing    in that database, which must be empty
    python -m benchmarks.consensus.standing 1000 100000         other sizes

Each release has five variants of ten claims, a photographed and marked example of each variant and a vote on every
claim, whatever the size; a fit with rates for every reviewer is in force. Timed is `actions.cast_vote`, which settles
the release before it answers, on claims picked at random, with the commit to disk; each release was settled once just
before, so that all are timed alike. Nothing should grow but the depth of an index. Drawn from a fixed seed.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from benchmarks.site import empty_site

SIZES = (1_000, 100_000, 1_000_000)
VARIANTS, TRAITS, REVIEWERS, MEMBERS = 5, 10, 200, 500
TIMED = 60
START = datetime(2026, 1, 1, tzinfo=UTC)
CHANCE = random.Random(20261125)  # noqa: S311  (a drawn world, no secret)


def main(sizes: tuple[int, ...]) -> None:
    with empty_site():
        measure(sizes)


def measure(sizes: tuple[int, ...]) -> None:
    from django.db import connection

    world = World()
    print(f"{connection.vendor}: from a vote to its standing")
    first = None
    for size in sizes:
        begun = time.perf_counter()
        world.fill(size)
        filled = time.perf_counter() - begun
        taken, worked, queries = world.vote()
        median, work = 1000 * statistics.median(taken), 1000 * statistics.median(worked)
        first = first or (median, work)
        print(
            f"{world.claims:>9,} claims (filled in {filled:.0f} s): {queries} queries, median {median:.1f} ms "
            f"({median / first[0]:.2f} x the smallest), of this program's processor {work:.1f} ms "
            f"({work / first[1]:.2f} x)",
            flush=True,
        )


class World:
    """A registry that can be made larger and voted in."""

    def __init__(self) -> None:
        from registry.models import Casting, Line, Maker, Member, RoleGrant, State, Trait

        named = (
            Member(
                email=f"m{n}@otterholm.example",
                display_name=f"Member {n}",
                name_key=f"member {n}",
                name_skeleton=f"member {n}",
                joined_at=START,
            )
            for n in range(MEMBERS + REVIEWERS)
        )
        people = Member.objects.bulk_create(named)
        self.reviewers, self.members = people[:REVIEWERS], people[REVIEWERS:]
        RoleGrant.objects.bulk_create(
            RoleGrant(member=one, role="reviewer", granted_at=START) for one in self.reviewers
        )
        maker = Maker.objects.create(name="Otterholm Tinworks")
        self.line = Line.objects.create(maker=maker, name="Quayside 64", scale=64)
        self.casting = Casting.objects.create(maker=maker, name="Brinewagon")
        self.traits = [
            Trait.objects.create(line=self.line, key=f"t{n}", name=f"Detail {n}", place="roof", kind="print")
            for n in range(TRAITS)
        ]
        self.states = [
            [State.objects.create(trait=trait, key=f"s{n}", name=f"state {n}") for n in range(VARIANTS)]
            for trait in self.traits
        ]
        self.base: dict[Any, int] = {}  # the largest key of each table's rows that are copied
        self.claims = self.votes = 0
        self.at = START
        self.adopt()

    def adopt(self) -> None:
        """A fit with rates for every reviewer, as if learnt."""
        from registry import actions
        from registry.models import Fit, FitRate, Policy

        fit = Fit(
            number=1, made_at=START, policy=Policy.objects.latest("version"), cut=0, claims=1, votes=1,
            reviewers=REVIEWERS, known=0, prior=500_000, rounds=1, objective=-1.0, converged=True,
            settings={"cell_to_reviewer": 12.0, "cell_to_kind": 4.0}, digest="0" * 64,
        )  # fmt: skip
        fit.save()
        FitRate.objects.bulk_create(
            FitRate(
                fit=fit,
                member=one,
                kind=kind,
                in_hand=in_hand,
                sensitivity=900_000,
                specificity=850_000,
                votes=9,
            )
            for one in [None, *self.reviewers]
            for kind in ("", "print", "cause")
            for in_hand in (True, False)
        )
        actions.adopt_fit(fit=fit, at=START, reason="For measuring.")

    def fill(self, claims: int) -> None:
        """Up to so many claims: two releases made and settled here, all others copied from them by the database."""
        from django.core.management.color import no_style
        from django.db import connection

        from registry import actions
        from registry.models import Release

        if not self.base:
            self.add_releases(2)
            for release in Release.objects.all():
                actions.settle_release(release=release, at=START)
            self.base = {model: model.objects.latest("pk").pk for model in copied()}
            self.claims = self.votes = 2 * VARIANTS * TRAITS
        copies = (claims - self.claims) // (2 * VARIANTS * TRAITS)
        start = {model: model.objects.latest("pk").pk for model in copied()}
        with connection.cursor() as cursor:
            for model in copied():
                cursor.execute(self.copying(model, start), [copies])
            for statement in connection.ops.sequence_reset_sql(no_style(), copied()):
                cursor.execute(statement)
            if connection.vendor == "postgresql":
                cursor.execute("ANALYZE")
        self.claims += copies * 2 * VARIANTS * TRAITS
        self.votes += copies * 2 * VARIANTS * TRAITS

    def copying(self, model: Any, start: dict[Any, int]) -> str:
        """The statement that copies the base's rows of one table many times, keys and references moved up."""
        from django.db import connection

        text = (
            "lower(hex(randomblob(6)))"
            if connection.vendor == "sqlite"
            else "substr(md5(random()::text), 1, 12)"
        )
        told = {}
        for field in model._meta.concrete_fields:
            of = model if field.primary_key else field.related_model
            told[field.column] = field.column
            if of in start:
                told[field.column] = f"{field.column} + {start[of]} + (copy.n - 1) * {self.base[of]}"
            elif field.column == "public_id":
                told[field.column] = text
        if "livery" in told:
            told["name"] = f"name || ' ' || ({start[model]} + copy.n)"
        table, key = model._meta.db_table, self.base[model]
        copies = "WITH RECURSIVE copy(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM copy WHERE n < %s)"
        into = f"INSERT INTO {table} ({', '.join(told)})"
        rows = f"SELECT {', '.join(told.values())} FROM {table}, copy WHERE {table}.id <= {key}"  # noqa: S608  (our own)
        return f"{copies} {into} {rows}"

    def add_releases(self, count: int) -> None:
        from django.db import transaction

        from registry.models import (
            Claim,
            Example,
            Mark,
            Photo,
            PhotoExample,
            Release,
            Submission,
            Variant,
            Vote,
        )

        with transaction.atomic():
            releases = Release.objects.bulk_create(
                Release(casting=self.casting, line=self.line, name=f"High water {n}", year=2025)
                for n in range(count)
            )
            variants = Variant.objects.bulk_create(
                Variant(release=release, title=f"Variant {n}", sent_at=START, changed_at=START)
                for release in releases
                for n in range(VARIANTS)
            )
            sent = Submission.objects.bulk_create(
                Submission(
                    author=CHANCE.choice(self.members), status="sent", release=variant.release, variant=variant,
                    casting=self.casting, created_at=START, changed_at=START, sent_at=START,
                )
                for variant in variants
            )  # fmt: skip
            examples = Example.objects.bulk_create(
                Example(release=one.release, owner=one.author, condition="sealed", found_shop="kiosk",
                        added_by=one.author, added_at=START)
                for one in sent
            )  # fmt: skip
            photos = Photo.objects.bulk_create(
                Photo(submission=one, owner=one.author, digest="0" * 64, upload_digest="0" * 64, width=9, height=9,
                      size_bytes=9, views=["seal_all_round"], added_at=START)
                for one in sent
            )  # fmt: skip
            PhotoExample.objects.bulk_create(
                PhotoExample(photo=photo, example=example)
                for photo, example in zip(photos, examples, strict=True)
            )
            claims = Claim.objects.bulk_create(self.new_claims(sent))
            Mark.objects.bulk_create(
                Mark(photo=photos[n // TRAITS], example=examples[n // TRAITS], claim=claim, x=0, y=0, w=9, h=9,
                     by_id=claim.author_id, at=START)
                for n, claim in enumerate(claims)
            )  # fmt: skip
            Vote.objects.bulk_create(
                Vote(by=CHANCE.choice(self.reviewers[: REVIEWERS // 2]), claim=claim, verdict="confirms", basis="photo",
                     counts=True, at=START)
                for claim in claims
            )  # fmt: skip

    def new_claims(self, sent: list[Any]) -> Iterator[Any]:
        from registry.models import Claim

        for n, one in enumerate(sent):
            for trait, states in zip(self.traits, self.states, strict=True):
                yield Claim(
                    variant=one.variant, trait=trait, state=states[n % VARIANTS], author=one.author, submission=one,
                    is_difference=trait is self.traits[0], since_revision=1, opened_at=START,
                )  # fmt: skip

    def vote(self) -> tuple[list[float], list[float], int]:
        """Seconds and seconds of processor of many votes, each in a release picked anywhere and settled once before,
        and the queries of the last."""
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        from registry import actions
        from registry.models import Claim

        low, high = self.base[Claim], Claim.objects.latest("pk").pk
        taken, worked = [], []
        for _ in range(TIMED):
            claim = Claim.objects.select_related("variant__release").get(pk=CHANCE.randint(low + 1, high))
            actions.settle_release(release=claim.variant.release, at=self.at)
            by = CHANCE.choice(self.reviewers[REVIEWERS // 2 :])
            self.at += timedelta(seconds=1)
            cast = {"claim": claim, "by": by, "at": self.at, "verdict": "confirms", "basis": "photo"}
            begun, working = time.perf_counter(), time.process_time()
            actions.cast_vote(**cast)
            taken.append(time.perf_counter() - begun)
            worked.append(time.process_time() - working)
        self.at += timedelta(seconds=1)
        with CaptureQueriesContext(connection) as captured:
            actions.cast_vote(**{**cast, "at": self.at, "verdict": "contradicts"})
        return taken, worked, len(captured)


def copied() -> list[Any]:
    """The tables that grow with a registry, in an order in which rows can be added."""
    from registry import models as m

    return [m.Release, m.Variant, m.Submission, m.Example, m.Photo, m.PhotoExample, m.Claim, m.Mark, m.Vote]


if __name__ == "__main__":
    main(tuple(int(size) for size in sys.argv[1:]) or SIZES)
