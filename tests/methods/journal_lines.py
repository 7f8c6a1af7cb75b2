"""A journal as actions would have written it, as JSON and back, so that nothing but JSON's own values gets through."""

import json
from dataclasses import asdict, dataclass, field

from registry.methods.facts import ClaimFact, ReleaseFacts
from registry.methods.replay import Line, fold


@dataclass
class JournalLines:
    """Lines written one after the other."""

    lines: list[Line] = field(default_factory=list)

    def write(self, verb: str, by: str | None = None, /, **detail) -> int:
        seq = len(self.lines) + 1
        self.lines.append(Line(seq, verb, by, json.loads(json.dumps(detail, default=sorted))))
        return seq

    def facts(self, release: str = "kelp") -> ReleaseFacts:
        return fold(self.lines)[release]


def journal_of(facts: ReleaseFacts) -> JournalLines:
    """A journal that leads to these facts: catalogue and people, submissions, then all that has a `seq`, in order."""
    journal = JournalLines()
    journal.write("release.added", release="kelp", accepted=facts.release_accepted)
    journal.write("pack.added", releases=["kelp"], sealed=facts.clear_sealed_pack, see_through=True)
    journal.write("sealed.unobtainable", "mod", release="kelp", value=facts.sealed_unobtainable)
    for number in range(facts.eligible_reviewers):
        journal.write("role.granted", "mod", member=f"eligible_{number}", role="reviewer")
    for pair in facts.links:
        journal.write("link.declared", min(pair), a=min(pair), b=max(pair))
    rivals = {dispute.rival for dispute in facts.disputes}
    for variant in sorted(facts.variants, key=lambda variant: variant.seq):
        claims = [c for c in facts.claims if c.variant == variant.id and c.id not in rivals]
        journal.write(
            "submission.sent",
            "author",
            release="kelp",
            variant=variant.id,
            new_variant=True,
            title=variant.title,
            claims=[claim_detail(claim) for claim in claims],
        )
    for example in facts.examples:
        journal.write("example.added", "author", release="kelp", **asdict(example))
    for photo in facts.photos:
        journal.write(
            "photo.attached", photo.owner, release="kelp", submission=None, bars=[], **asdict(photo)
        )
    dated = [*facts.votes, *facts.disputes]
    for fact in sorted(dated, key=lambda fact: fact.seq):
        if fact in facts.votes:
            journal.write("vote.cast", fact.by, **asdict(fact))
        else:
            rival = next(claim for claim in facts.claims if claim.id == fact.rival)
            detail = {"id": fact.id, "claim": fact.claim, "photo": fact.photo, "rival": claim_detail(rival)}
            journal.write("dispute.opened", fact.opened_by, **detail)
    for mark in facts.marks:
        journal.write("mark.added", "author", **asdict(mark))
    for dispute in facts.disputes:
        rival = next(claim for claim in facts.claims if claim.id == dispute.rival)
        if not dispute.is_open:
            journal.write("dispute.closed", id=dispute.id, outcome="corrected" if rival.is_open else "upheld")
    for variant in facts.variants:
        if variant.event:
            journal.write(f"variant.{variant.event}", "mod", variant=variant.id)
    return journal


def claim_detail(claim: ClaimFact) -> dict:
    """What a line says of a claim as it opens: whether it is still open is for later lines to say."""
    detail = asdict(claim)
    del detail["is_open"], detail["rival_in"]
    return detail
