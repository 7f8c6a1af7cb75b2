"""Atom feeds of what happened: everything, or one casting, assortment or line. Source: RFC 4287, RFC 4151 (ids)."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.cache import get_conditional_response
from django.utils.feedgenerator import Atom1Feed
from django.utils.http import quote_etag

from registry.models import FeedEvent
from registry.queries import watching as query
from registry.web.views.watching import subject


def everything(request: HttpRequest) -> HttpResponse:
    return feed(request, "What happened on Castlore", reverse("home"), query.newest_events())


def of_one(request: HttpRequest, kind: str, public_id: str) -> HttpResponse:
    thing = subject(kind, public_id)
    page = reverse(kind, kwargs={"public_id": public_id})
    return feed(request, f"What happened in {thing}", page, query.events_of(kind, thing.pk))


@translation.override("en-gb")
def feed(request: HttpRequest, title: str, page: str, events: list[FeedEvent]) -> HttpResponse:
    """The events, newest first; 304 to who has the newest already. In English for everybody: caches hand it on."""
    etag = quote_etag(f"{events[0].pk if events else 0}-{len(events)}")
    answer = get_conditional_response(request, etag=etag)
    if answer is None:
        answer = HttpResponse(content_type="application/atom+xml; charset=utf-8")
        written(request.path, title, page, events).write(answer, "utf-8")
    answer["ETag"], answer["Content-Language"] = etag, "en"
    answer["Cache-Control"] = "public, max-age=300"
    return answer


def written(path: str, title: str, page: str, events: list[FeedEvent]) -> Atom1Feed:
    atom = Atom1Feed(
        title=title,
        link=settings.SITE_URL + page,
        description=title,
        language="en",
        feed_url=settings.SITE_URL + path,
        feed_guid=tag(path.strip("/")),
        feed_copyright="Facts are CC0 1.0.",
    )
    for event in events:
        thing = event.variant or event.release
        address = reverse(str(thing._meta.model_name), kwargs={"public_id": thing.public_id})
        atom.add_item(
            title=render_to_string("registry/mail/_event.txt", {"event": event}).strip(),
            link=settings.SITE_URL + address,
            description=f"{event.release}, {event.release.line}",
            unique_id=tag(f"events/{event.pk}"),
            updateddate=event.at,
            pubdate=event.at,
        )
    return atom


def tag(name: str) -> str:
    """An id that stays the same for ever, whatever becomes of addresses."""
    return f"tag:{urlsplit(settings.SITE_URL).hostname},2026:{name}"
