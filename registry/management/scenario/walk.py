"""The main path on top of the history: report, marks, votes, List no. 1, pulled; a fit; dispute, correction, List 2.

Each step is one transaction. A step that was taken before is not taken again, only told.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TypeVar

from django.db import transaction
from django.utils import timezone

from registry import actions
from registry.management.editions import check_edition, read_edition
from registry.methods.edition import changes
from registry.models import (
    Dispute,
    Edition,
    FitAdoption,
    JournalEntry,
    Mark,
    Photo,
    Submission,
    Variant,
    Verdict,
    Vote,
)

from .event import Moment
from .files import ScenarioFault, Spec
from .names import Names
from .opinions import add_picture, open_dispute, rival, sit, vote_on_rival
from .pull import pull, served_on_loopback
from .reports import Report, hundredths, send_report
from .telling import Teller, standing_then

T = TypeVar("T")


class Walk:
    """Takes the steps that are left, and tells them all."""

    def __init__(self, names: Names, tell: Teller) -> None:
        self.names, self.tell = names, tell
        self.spec: Spec = names.scenario.happenings["main_path"]
        self.main: str = names.scenario.files["variants"]["main_path"]
        self.disputed: Spec = self.spec["dispute"]

    def go(self) -> None:
        self.report()
        self.mark()
        self.second_example()
        for sitting in self.spec["sittings"]:
            self.vote(sitting)
        self.publish(1)
        self.pull(1)
        self.learn()
        self.dispute()
        self.join_dispute()
        for vote in self.spec["votes"]:
            self.vote_on_rival(vote)
        self.publish(2)
        self.pull(2)
        self.verify_second()

    # Report, evidence, votes

    def report(self) -> None:
        said = {**self.spec["report"], "variant": self.main}
        sent = step(self.first_report, lambda now: send_report(self.names, said, now, with_marks=False))
        variant, by = self.variant(), sent.author
        photos = "a photograph" if len(said["pictures"]) == 1 else f"{len(said['pictures'])} photographs"
        self.tell.step(
            f"{by} reports a variant of {variant.release} that nobody has listed: “{variant.title}”, "
            f"with {photos}.",
            sent.sent_at or sent.changed_at,
        )
        if said.get("note"):
            self.tell.line(f"“{said['note']}”")
        self.tell.variant(variant, standing_then(variant, sent.sent_at or sent.changed_at))

    def mark(self) -> None:
        report = self.first_report()
        assert report is not None

        def found() -> Mark | None:
            return Mark.objects.filter(photo__submission=report).order_by("pk").last()

        last = step(found, self.mark_regions)
        marks = Mark.objects.filter(photo__submission=report).select_related("claim__trait").order_by("pk")
        seen = ", ".join(str(mark.claim.trait).lower() for mark in marks)
        self.tell.step(f"{report.author} marks on the photograph where each detail shows: {seen}.", last.at)
        self.tell.variant(self.variant(), standing_then(self.variant(), last.at))

    def mark_regions(self, now: Moment) -> None:
        report = self.first_report()
        assert report is not None
        claimed = Report(self.names, {**self.spec["report"], "variant": self.main}).traits()
        for file, photo in zip(self.spec["report"]["pictures"], report.photos.order_by("pk"), strict=True):
            for key, boxes in self.names.scenario.boxes[file].items():
                for trait in (trait for trait in claimed if trait in boxes):
                    actions.mark_region(
                        photo=photo,
                        example=self.names.example(key),
                        claim=self.names.claim(self.main, trait),
                        xywh=hundredths(boxes[trait]),
                        by=report.author,
                        at=now(),
                    )

    def second_example(self) -> None:
        said = {**self.spec["second"], "variant": self.main}
        by = self.names.member(said["by"])

        def found() -> Submission | None:
            return Submission.objects.filter(author=by, variant=self.variant(), status="sent").first()

        sent = step(found, lambda now: send_report(self.names, said, now))
        at = sent.sent_at or sent.changed_at
        self.tell.step(
            f"{by} has another one, found elsewhere: {len(said['pictures'])} photographs, one of them "
            "with a listed sibling beside it.",
            at,
        )
        self.tell.variant(self.variant(), standing_then(self.variant(), at))

    def vote(self, sitting: Spec) -> None:
        by, variant = self.names.member(sitting["by"]), self.variant()
        votes = Vote.objects.filter(by=by, claim__variant=variant).order_by("pk")
        last = step(votes.last, lambda now: sit(self.names, {**sitting, "variant": self.main}, now))
        said = []
        for verdict in Verdict:
            traits = [
                str(vote.claim.trait).lower() for vote in votes if vote.claim and vote.verdict == verdict
            ]
            said += [f"{verdict.label}: {', '.join(traits)}"] if traits else []
        how = "by photo" if last.basis == "photo" else "with an example in hand"
        self.tell.step(f"{by} votes detail by detail, {how}. {'; '.join(said).capitalize()}.", last.at)
        then = standing_then(variant, last.at)
        self.tell.line(f"Standing: {then.standing.replace('_', ' ')}.")
        self.tell.missing(then.missing)

    # Editions

    def publish(self, number: int) -> None:
        by = self.names.member(self.spec["publisher"])
        edition = step(
            Edition.objects.filter(number=number).first,
            lambda now: actions.publish_edition(by=by, at=now()),
        )
        self.tell.step(
            f"{edition.issued_by} publishes {edition}: {edition.count} variants.", edition.issued_at
        )
        self.tell.line(self.tell.address("edition", edition.number))
        self.tell.line(f"edition.json has SHA-256 {edition.digest}")
        actions.write_files(edition)

    def pull(self, number: int) -> None:
        with served_on_loopback() as site:
            pulled = pull(site, number)
        verified = sum(record["standing"] == "verified" for record in pulled.records)
        self.tell.step(
            f"Another program fetches List no. {number} over HTTP: {len(pulled.records)} records, "
            f"{verified} of them verified; the digest is the one stated."
        )
        if pulled.is_unchanged:
            self.tell.line("It asks again with the ETag it was given: 304, nothing newer to fetch.")
        if "previous" in pulled.document:
            self.tell.line(f"It names List no. {pulled.document['previous']['number']} as the one before it.")

    def verify_second(self) -> None:
        first, second = (
            read_edition(actions.edition_file(Edition.objects.get(number=number), "edition.json").parent)
            for number in (1, 2)
        )
        if wrong := check_edition(second, first):
            raise ScenarioFault(f"List no. 2 does not stand against List no. 1: {'; '.join(wrong)}")
        told = changes(second, first)
        self.tell.step("List no. 2 is verified against List no. 1: nothing is wrong.")
        for word, ids in told.items():
            titles = Variant.objects.filter(public_id__in=ids).values_list("title", flat=True)
            self.tell.line(f"{word}: {', '.join(f'“{title}”' for title in titles) or 'none'}")
        self.tell.line("Check it yourself: CASTLORE_DEBUG=yes python3 manage.py verify_edition 2")

    # What the votes teach

    def learn(self) -> None:
        adoption = step(FitAdoption.objects.order_by("pk").first, self.adopt_first_fit)
        fit = adoption.fit
        self.tell.step(
            f"The registry learns how far to trust whom: fit {fit.number}, from {fit.votes} votes by {fit.reviewers} "
            f"reviewers on {fit.claims} details. {adoption.by} adopts it, and every release is settled under it.",
            adoption.at,
        )
        self.tell.line(self.tell.address("how-votes"))
        self.tell.line(f"Its rates have SHA-256 {fit.digest}")

    def adopt_first_fit(self, now: Moment) -> None:
        by = self.names.member(self.spec["publisher"])
        fit = actions.make_fit(by=by, at=now())
        actions.adopt_fit(
            fit=fit, by=by, at=now(), reason="The votes behind List no. 1, weighed by how they fared."
        )
        actions.settle_under_new_fit(at=now())

    # Dispute and correction

    def dispute(self) -> None:
        dispute = step(self.the_dispute, lambda now: open_dispute(self.names, self.disputed, now))
        variant = self.names.variant(self.disputed["variant"])
        assert dispute.claim is not None
        assert dispute.rival is not None
        self.tell.step(
            f"{dispute.opened_by} disputes a detail of “{variant.title}” and sends a photograph: not "
            f"{dispute.claim.state}, but {dispute.rival.state}.",
            dispute.opened_at,
        )
        self.tell.line(f"“{dispute.reason}”")
        self.tell.line(f"{dispute.shown_id}  {self.tell.address('dispute', dispute.public_id)}")
        opened = dispute.photos.order_by("pk").last()
        self.tell.variant(variant, standing_then(variant, opened.added_at if opened else dispute.opened_at))

    def join_dispute(self) -> None:
        joined, dispute = self.spec["joined"], self.the_dispute()
        assert dispute is not None
        by = self.names.member(joined["by"])

        def found() -> Photo | None:
            return dispute.photos.filter(owner=by).first()

        def add(now: Moment) -> None:
            for file in joined["pictures"]:
                add_picture(self.names, dispute, self.disputed, file, now, by=joined["by"])

        photo = step(found, add)
        self.tell.step(
            f"{by}, who reported it, photographs it again by daylight and marks the place.", photo.added_at
        )

    def vote_on_rival(self, vote: Spec) -> None:
        dispute, by = self.the_dispute(), self.names.member(vote["by"])
        assert dispute is not None
        votes = Vote.objects.filter(by=by, claim=rival(dispute)).order_by("pk")
        cast = step(votes.first, lambda now: vote_on_rival(self.names, self.disputed, vote, now))
        dispute.refresh_from_db()
        note = f" “{cast.note}”" if cast.note else ""
        self.tell.step(f"{by} {cast.get_verdict_display()} {rival(dispute).state}.{note}", cast.at)
        if dispute.closed_at and dispute.closed_at == cast.at:
            variant = self.names.variant(self.disputed["variant"])
            variant.refresh_from_db()
            revision = variant.revisions.filter(at=cast.at).last()
            self.tell.line(f"The votes decide: the dispute ends as {dispute.get_outcome_display()}.")
            if revision:
                self.tell.line(f"Revision {revision.number}: {revision.reason}")
            self.tell.variant(variant, standing_then(variant, cast.at))

    # What is stored

    def variant(self) -> Variant:
        return self.names.variant(self.main)

    def first_report(self) -> Submission | None:
        variant = self.names.find_variant(self.main)
        return Submission.objects.filter(variant=variant).order_by("sent_at").first() if variant else None

    def the_dispute(self) -> Dispute | None:
        said = self.disputed
        return self.names.find_dispute(said["variant"], said["trait"], said["by"])


def step(found: Callable[[], T | None], act: Callable[[Moment], object]) -> T:
    """What a step has left behind; the step is taken first, in one transaction, where there is nothing yet."""
    thing = found()
    if thing is None:
        with transaction.atomic():
            act(present)
        thing = found()
    assert thing is not None, "a step that was taken is found"
    return thing


def present() -> datetime:
    """Now, and later than everything in the journal, whatever the machine's clock says."""
    last = JournalEntry.objects.order_by("pk").last()
    now = timezone.now()
    return max(now, last.at + timedelta(milliseconds=1)) if last else now
