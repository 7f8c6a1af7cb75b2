"""`manage.py refit`: learn from all votes how far to trust whom, and settle every release by what is adopted."""

from __future__ import annotations

from argparse import ArgumentParser
from collections import Counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError
from registry.methods import reasons
from registry.methods.policy import Policy, Reliabilities
from registry.methods.standing import decide
from registry.models import Claim, Fit, FitAdoption, Release, Variant
from registry.queries.facts import current_policy, release_facts


class Command(BaseCommand):
    help = (
        "Make the next numbered fit of all votes. With --adopt votes weigh by it from then on, and every release is "
        "settled under it, one after the other; broken off, the next run goes on where it was. Safe to run by clock."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--adopt", action="store_true", help="Adopt the new fit and settle every release."
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="Say what adopting would change; keep nothing."
        )

    def handle(self, *, adopt: bool, dry_run: bool, **options: Any) -> None:
        try:
            if dry_run:
                return self.try_out()
            self.settle()  # what an earlier run that was broken off left behind
            fit = self.make()
            if adopt:
                actions.adopt_fit(fit=fit, at=timezone.now(), reason=reasons.NEWEST_FIT)
                self.stdout.write(f"{str(fit).capitalize()} is in force.")
                self.settle()
        except RegistryError as refusal:
            raise CommandError(str(refusal)) from refusal

    def make(self) -> Fit:
        fit = actions.make_fit(at=timezone.now())
        self.stdout.write(
            f"{str(fit).capitalize()}: {told(fit.votes, fit.reviewers, fit.claims, fit.rounds)}"
        )
        self.stdout.write(f"Its rates have SHA-256 {fit.digest}")
        if not fit.converged:
            self.stderr.write(f"{str(fit).capitalize()} had not come to rest after {fit.rounds} rounds.")
        return fit

    def settle(self) -> None:
        def say(done: int, of: int) -> None:
            if done % 100 == 0 or done == of:
                self.stdout.write(f"{done} of {of} releases settled under it")

        if FitAdoption.objects.exists():
            actions.settle_under_new_fit(at=timezone.now(), told=say)

    def try_out(self) -> None:
        """Decide every release by what would be learnt, beside what is stored."""
        from registry.queries.learnt import learn  # here, because numpy and scipy are for this alone

        learnt = learn()
        heard = learnt.gathered
        counts = (heard.seen.size, heard.reviewers.size, heard.claims.size, learnt.fit.rounds)
        self.stdout.write(f"A fit would be made of {told(*counts)}")
        policy, reliabilities, changes = current_policy(), learnt.reliabilities(), Counter[str]()
        releases = Release.objects.current().filter(variants__isnull=False).distinct().order_by("pk")
        of = releases.count()
        for done, release in enumerate(releases.iterator(), start=1):
            for change in would_change(release, policy, reliabilities):
                changes[change.split(" ", 1)[0]] += 1
                self.stdout.write(f"{release}: {change}")
            if done % 100 == 0 or done == of:
                self.stdout.write(f"{done} of {of} releases")
        counted = ", ".join(f"{count} of {kind}s" for kind, count in sorted(changes.items())) or "none"
        self.stdout.write(f"Standings that would change: {counted}. Nothing was kept.")


def told(votes: int, reviewers: int, claims: int, rounds: int) -> str:
    return f"{votes} votes by {reviewers} reviewers on {claims} claims, learnt in {rounds} rounds"


def would_change(release: Release, policy: Policy, reliabilities: Reliabilities) -> list[str]:
    """Claims, variants and disputes that would stand otherwise, in words. A dispute that ends may change more."""
    standing = decide(release_facts(release), policy, reliabilities)
    now: list[tuple[str, str, str, str]] = [
        ("claim", claim.public_id, claim.standing, standing.claims[claim.public_id].standing)
        for claim in Claim.objects.filter(variant__release=release).order_by("pk")
    ]
    now += [
        ("variant", variant.public_id, variant.standing, standing.variants[variant.public_id].standing)
        for variant in Variant.objects.filter(release=release).order_by("pk")
    ]
    now += [("dispute", name, "open", one.due or "open") for name, one in standing.disputes.items()]
    return [f"{kind} {name}: {was} becomes {new}" for kind, name, was, new in now if was != new]
