"""The published Lists: which there are, what each changed, how to fetch and check them."""

from __future__ import annotations

import json

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Edition
from registry.queries import editions as read
from registry.web.people import signed_in
from registry.web.refusals import said_plainly

MOST_SHOWN = 500


def editions(request: HttpRequest) -> HttpResponse:
    found = read.published()
    table = f"/v1/editions/{found[0].number}/variants.csv" if found else ""
    return render(request, "registry/editions.html", {"editions": found, "table": table})


def edition(request: HttpRequest, number: int) -> HttpResponse:
    it = get_object_or_404(Edition.objects.select_related("policy", "previous"), number=number)
    names = sorted(
        actions.FILES, key=lambda name: not name.endswith(".csv")
    )  # what most people come for first
    files = [{"name": name, "address": f"/v1/editions/{it.number}/{name}"} for name in names]
    document = json.loads(it.document)
    changes = read.changes_in(it, MOST_SHOWN + 1)
    given = {
        "edition": it,
        "changes": changes[:MOST_SHOWN],
        "has_more": len(changes) > MOST_SHOWN,
        "files": files,
        "table_digest": document["files"]["variants_csv"]["sha256"],
        "is_weighed": bool(document.get("fit")),
        "founding": document.get("founding", 0),
        "next": read.next_number(it),
    }
    return render(request, "registry/edition.html", given)


@login_required
@require_POST
@said_plainly
def publish(request: HttpRequest) -> HttpResponse:
    """A moderator publishes the next List."""
    it = actions.publish_edition(by=signed_in(request), at=timezone.now())
    actions.write_files(it)
    return redirect("edition", number=it.number)
