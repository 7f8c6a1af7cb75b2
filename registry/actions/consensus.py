"""Learn from all votes how far to trust whom, adopt what was learnt, and settle every release under it.

A fit that is made decides nothing. Adopting one is a single journalled act; releases then follow one by one, each
in a transaction of its own, so that no request grows with the registry. A vote cast in between settles its release
under the new fit at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models import Max

from registry.errors import AlreadyClosed, NothingToLearn
from registry.models import (
    Confusion,
    Fit,
    FitAdoption,
    FitRate,
    JournalEntry,
    Member,
    Policy,
    Release,
    Role,
    State,
    TraitAgreement,
)
from registry.sentences import Sentence

from . import wording
from .admission import require
from .journalled import journalled
from .settle import settle_release

if TYPE_CHECKING:
    from registry.queries.learnt import Learnt, LearntAgreement

_AT_ONCE = 2000


def make_fit(*, at: datetime, by: Member | None = None) -> Fit:
    """Learn a new numbered fit and keep it; nothing is decided by it until it is adopted. `by` None: command line.

    Errors: RoleRequired; NothingToLearn while no vote counts.
    Votes are read and learnt from before the transaction begins, so that nobody waits for it.
    """
    from registry.queries.learnt import learn  # here, because numpy and scipy are for this alone

    if by is not None:
        require(by, Role.MODERATOR)
    learnt = learn()
    if not learnt.gathered.claims.size:
        raise NothingToLearn
    return keep_fit(learnt, by, at)


@journalled
def keep_fit(learnt: Learnt, by: Member | None, at: datetime) -> Fit:
    # Whoever holds the policy numbers the fit: a second one waits.
    policy = Policy.objects.select_for_update(no_key=True).latest("version")
    gathered, found = learnt.gathered, learnt.fit
    fit = Fit(
        number=(Fit.objects.aggregate(last=Max("number"))["last"] or 0) + 1,
        made_at=at,
        made_by=by,
        policy=policy,
        cut=gathered.cut,
        claims=gathered.claims.size,
        votes=gathered.seen.size,
        reviewers=gathered.reviewers.size,
        known=gathered.rulings,
        prior=round(found.prior * 1_000_000),
        rounds=found.rounds,
        objective=found.objective[-1],
        converged=found.converged,
        settings=learnt.settings,
        digest=learnt.digest,
    )
    fit.save()
    keep_rows(
        FitRate(
            fit=fit,
            member_id=rate.member,
            kind=rate.kind,
            in_hand=rate.in_hand,
            sensitivity=rate.sensitivity,
            specificity=rate.specificity,
            votes=rate.votes,
        )
        for rate in learnt.rates
    )
    keep_rows(
        Confusion(
            fit=fit,
            trait_id=row.trait,
            claimed_id=row.claimed,
            seen_id=row.seen,
            count=row.count,
            expected=row.expected,
        )
        for row in learnt.confusions()
    )
    keep_agreements(fit, list(learnt.agreements(fit.number)))
    write_line(fit, "fit.made", by, at, votes=fit.votes)
    return fit


def keep_agreements(fit: Fit, rows: list[LearntAgreement]) -> None:
    keys = {key for row in rows for one, other, _ in row.confused for key in (one, other)}
    named = dict(State.objects.filter(pk__in=keys).values_list("pk", "public_id"))
    keep_rows(
        TraitAgreement(
            fit=fit,
            trait_id=row.trait,
            alpha=row.alpha,
            low=row.low,
            high=row.high,
            units=row.units,
            votes=row.votes,
            is_hard=row.is_hard,
            confused=[[named.get(one), named.get(other), pairs] for one, other, pairs in row.confused],
        )
        for row in rows
    )


def keep_rows(rows: Iterable[models.Model]) -> None:
    """A few at a time, so that memory does not grow with the number of rows."""
    left = iter(rows)
    while some := list(islice(left, _AT_ONCE)):
        type(some[0])._default_manager.bulk_create(some)


@journalled
def adopt_fit(*, fit: Fit, at: datetime, reason: str, by: Member | None = None) -> FitAdoption:
    """From now on votes weigh by this fit, an older one too. Settle the releases afterwards: settle_under_new_fit.

    Errors: RoleRequired; InvalidField without a reason; AlreadyClosed where it is in force already.
    """
    if by is not None:
        require(by, Role.MODERATOR)
    Policy.objects.select_for_update(no_key=True).latest("version")
    if FitAdoption.objects.current_fit() == fit:
        raise AlreadyClosed(Sentence("Fit %(number)s is in force already.", number=fit.number))
    adoption = FitAdoption(fit=fit, by=by, at=at, reason=wording.line("reason", reason, 300))
    adoption.save()
    write_line(fit, "fit.adopted", by, at, reason=adoption.reason)
    return adoption


def settle_under_new_fit(*, at: datetime, told: Callable[[int, int], None] | None = None) -> int:
    """Settle every release that was settled last under another fit than the one in force; says how many those were.

    Each release is a transaction of its own: broken off, it goes on where it was. `told` hears how many are done
    of how many.
    """
    fit = FitAdoption.objects.current_fit()
    if fit is None:
        return 0
    waiting = list(Release.objects.unsettled(fit).order_by("pk").values_list("pk", flat=True))
    for done, key in enumerate(waiting, start=1):
        settle_release(release=Release.objects.get(pk=key), at=at)
        if told:
            told(done, len(waiting))
    return len(waiting)


def write_line(fit: Fit, verb: str, by: Member | None, at: datetime, **more: Any) -> None:
    detail = {"number": fit.number, "digest": fit.digest, **more}
    JournalEntry.objects.record(by=by, verb=verb, about=fit, at=at, detail=detail)
