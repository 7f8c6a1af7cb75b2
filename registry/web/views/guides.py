"""Short pages in our own words: how things are done here."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from registry.methods.policy import Policy
from registry.queries.facts import current_policy
from registry.queries.trust import trust
from registry.web.glossary import TERMS
from registry.web.people import reader


def help_page(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/help.html")


def how_words(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/how_words.html", {"terms": TERMS})


def how_lists(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/how_lists.html")


def how_verified(request: HttpRequest) -> HttpResponse:
    policy: Policy = current_policy()
    return render(request, "registry/how_verified.html", {"policy": policy})


def how_photograph(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/how_photograph.html")


def how_votes(request: HttpRequest) -> HttpResponse:
    """How far votes are trusted; a reviewer sees their own rates here, and nobody else does."""
    member = reader(request)
    reviewer = member if member and member.is_reviewer else None
    given = {"policy": current_policy(), "trust": trust(reviewer), "is_reviewer": reviewer is not None}
    return render(request, "registry/how_votes.html", given)
