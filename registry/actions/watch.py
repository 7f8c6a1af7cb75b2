"""Follow a casting, an assortment or a whole line, and be told what happened there."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import Max
from django.template.loader import render_to_string

from registry.errors import InvalidField, NotFound, WrongMoment
from registry.models import Assortment, Casting, FeedEvent, JournalEntry, Line, Member, Watch
from registry.queries.watching import News, news_for_mail
from registry.sentences import Sentence

from .admission import active
from .journalled import journalled

MOST_WATCHES = 200


@journalled
def follow(
    *,
    by: Member,
    at: datetime,
    casting: Casting | None = None,
    assortment: Assortment | None = None,
    line: Line | None = None,
    by_mail: bool = False,
) -> Watch:
    """Follow exactly one thing from now on; following it already changes nothing.

    Errors: InvalidField where it is not one thing; WrongMoment where one follows as many as one may.
    """
    member = active(by)
    if sum(thing is not None for thing in (casting, assortment, line)) != 1:
        raise InvalidField("casting", None, Sentence("Follow exactly one casting, assortment or line."))
    casting = casting.survivor if casting else None
    if known := member.watches.filter(casting=casting, assortment=assortment, line=line).first():
        return known
    if member.watches.count() >= MOST_WATCHES:
        raise WrongMoment(
            Sentence(
                "You follow %(most)s things, as many as one may. Stop following one first.",
                most=MOST_WATCHES,
            )
        )
    newest = newest_event()
    watch = Watch.objects.create(
        member=member,
        casting=casting,
        assortment=assortment,
        line=line,
        by_mail=by_mail,
        seen_up_to=newest,
        mailed_up_to=newest,
        added_at=at,
    )
    JournalEntry.objects.record(by=member, verb="watch.added", about=watch, at=at)
    return watch


@journalled
def unfollow(*, watch: Watch, by: Member, at: datetime) -> None:
    """Errors: NotFound for another member's."""
    kept = own_watch(watch, by)
    JournalEntry.objects.record(by=by, verb="watch.removed", about=kept, at=at)
    kept.delete()


@journalled
def tell_by_mail(*, watch: Watch, by: Member, at: datetime, by_mail: bool) -> Watch:
    """Be told by e-mail as well, of what happens from now on; or no longer."""
    kept = own_watch(watch, by)
    kept.by_mail, kept.mailed_up_to = by_mail, newest_event()
    kept.save(update_fields=["by_mail", "mailed_up_to"])
    JournalEntry.objects.record(by=by, verb="watch.changed", about=kept, at=at, detail={"by_mail": by_mail})
    return kept


@journalled
def mark_news_seen(*, by: Member, at: datetime, up_to: int) -> None:
    """The member has been shown all news up to this event. The journal does not keep what anybody has read."""
    newest = min(up_to, newest_event())
    active(by).watches.filter(seen_up_to__lt=newest).update(seen_up_to=newest)


@journalled
def mail_news(*, member: Member, at: datetime) -> News | None:
    """Send one message with all that happened since the last one to a member who asked for it; None: nothing did.

    The message leaves only once it is noted as sent, so that a crash may lose one but never doubles it. Nor does
    this leave a journal line: what a member has read is nobody's business.
    """
    watches = list(Watch.objects.select_for_update(no_key=True).filter(member=member, by_mail=True))
    news = news_for_mail(member, watches)
    if news is None:
        return None
    Watch.objects.filter(pk__in=[watch.pk for watch in watches]).update(mailed_up_to=news.up_to)
    given = {"news": news, "site": settings.SITE_URL, "member": member}
    text = render_to_string("registry/mail/news.txt", given)
    subject = render_to_string("registry/mail/news_subject.txt", given).strip()
    transaction.on_commit(lambda: send_mail(subject, text, settings.DEFAULT_FROM_EMAIL, [member.email]))
    return news


def own_watch(watch: Watch, by: Member) -> Watch:
    active(by)
    kept = Watch.objects.select_for_update(no_key=True).filter(pk=watch.pk, member=by).first()
    if kept is None:
        raise NotFound(Sentence("You do not follow that."))
    return kept


def newest_event() -> int:
    return FeedEvent.objects.aggregate(newest=Max("pk"))["newest"] or 0
