"""Short pages in our own words: how things are done here."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from registry.methods.policy import Policy
from registry.queries.facts import current_policy


def how_verified(request: HttpRequest) -> HttpResponse:
    policy: Policy = current_policy()
    return render(request, "registry/how_verified.html", {"policy": policy})


def how_photograph(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/how_photograph.html")
