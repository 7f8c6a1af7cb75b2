"""Answer a question whose answer is known. It looks like any other; it never counts as a vote."""

from __future__ import annotations

from datetime import datetime

from registry.errors import NotFound
from registry.models import Basis, Claim, ControlAnswer, JournalEntry, Member, Verdict
from registry.queries.controls import for_member, truth_of

from . import wording
from .admission import active
from .journalled import journalled


@journalled
def answer_control(*, claim: Claim, verdict: str, basis: str, by: Member, at: datetime) -> ControlAnswer:
    """Keep what the member said beside what is so. Errors: NotFound where the claim is no such question for them."""
    member = active(by)
    known = for_member(member, at).filter(pk=claim.pk).first()
    if known is None:
        raise NotFound
    answer = ControlAnswer.objects.create(
        member=member,
        claim=known,
        verdict=wording.choice("verdict", verdict, Verdict),
        basis=wording.choice("basis", basis, Basis),
        truth=truth_of(known),
        at=at,
    )
    # The line says that there was an answer, not which: it is nobody's to read.
    JournalEntry.objects.record(by=member, verb="control.answered", about=known, at=at)
    return answer
