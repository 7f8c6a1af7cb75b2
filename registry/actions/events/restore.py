"""Take back a strike, a merge or a split: the variant stands for itself again, and history keeps both events."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db.models import Q

from registry.errors import WrongMoment
from registry.methods import reasons
from registry.models import Claim, Dispute, Member, ModeratorEvent, ModeratorEventKind, Variant
from registry.queries.facts import last_events, merged_claims
from registry.sentences import Sentence

from ..journalled import journalled
from ..revise import revise
from .desk import Deed, conclude, deed, held, keep_event, keep_line, take_back

WHY = "The merge that opened it was taken back."


@journalled
def restore_variant(
    *, variant: Variant, by: Member, at: datetime, reason: str, seconded_by: Member | None = None
) -> Variant:
    """Undo the last strike, merge or split of a variant.

    After a merge exactly the claims that it closed open again and take their votes and marks back; what it opened on
    the survivor closes, and a dispute that it opened is taken back where it is still open. The parts of a split stay,
    until each is merged or struck itself.
    Errors: RoleRequired, WrongMoment where the variant stands already.
    """
    doing = deed(by, at, reason, seconded_by)
    release, (kept,) = held(variant)
    events = last_events(release)
    last = events.get(kept.pk)
    if last is None or not kept.is_gone:
        raise WrongMoment(Sentence("%(kept)s stands: there is nothing to take back.", kept=kept))
    reopened, closed = take_apart(last, merged_claims(events.values()), doing)
    keep_event(kept, ModeratorEventKind.RESTORED, doing)
    for survivor in (
        Variant.objects.filter(claims__in=closed, claims__is_rival=False).distinct().order_by("pk")
    ):
        revise(variant=survivor, author=doing.by, reason=reasons.STANDS_AGAIN.filled(title=kept.title), at=at)
    revise(variant=kept, author=doing.by, reason=doing.reason, at=at)
    keep_line(kept, "restored", doing, claims=ids(reopened), closed=ids(closed))
    conclude(release, doing, kept)
    return kept


def take_apart(
    merge: ModeratorEvent, pairs: Mapping[str, str], doing: Deed
) -> tuple[list[Claim], list[Claim]]:
    """The claims that open again, and those that close, after a merge; none after a strike or a split."""
    reopened = list(Claim.objects.filter(public_id__in=merge.claims).order_by("pk"))
    opened = [later for claim in reopened for later in opened_for(claim, pairs)]
    for dispute in Dispute.objects.open().filter(Q(rival__in=opened) | Q(claim__in=opened)).order_by("pk"):
        take_back(dispute, doing, WHY)
    closed = list(Claim.objects.votable().filter(pk__in=[claim.pk for claim in opened], is_rival=False))
    for claims, closed_at in ((closed, doing.at), (reopened, None)):
        Claim.objects.filter(pk__in=[claim.pk for claim in claims]).update(closed_at=closed_at)
    return reopened, closed


def opened_for(claim: Claim, pairs: Mapping[str, str]) -> list[Claim]:
    """What merges opened because of the claim: its successor on the survivor, and that one's on the next survivor.

    A rival that the votes made the claim is no merge's any more, and stays.
    """
    opened: list[Claim] = []
    while after := pairs.get(claim.public_id):
        later = Claim.objects.get(public_id=after)
        is_correction = not later.is_rival and Dispute.objects.filter(rival=later).exists()
        if later.predecessor_id != claim.pk or is_correction:
            break
        opened.append(later)
        claim = later
    return opened


def ids(claims: list[Claim]) -> list[str]:
    return sorted(claim.public_id for claim in claims)
