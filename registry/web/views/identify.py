"""Which one do I hold: begin with anything, say what is seen, see what it may be."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from registry.methods.identifiers import parse_gtin
from registry.models import Casting, Line, Pack, Release
from registry.queries import browse
from registry.queries import identify as query
from registry.queries.identify import Known, Question, Scope
from registry.queries.search import find
from registry.web.looks import AIDS, HELD, Look, card
from registry.web.naming import named
from registry.web.refusals import said_plainly
from registry.web.views.browse import found, survivor_page

RANKED = 6
ASKED_BESIDE = 12
LIKELY = 5_000
KINDS = ("casting", "release", "line", "pack")


@said_plainly
def start(request: HttpRequest) -> HttpResponse:
    """Begin with a search, a bar code, a line, or nothing at all."""
    if scope := wide_scope(request):
        return scope
    asked = request.GET.get("q", "")[:120].strip()
    if leads_to := named_by_gtin(asked):
        return leads_to
    given = {
        "asked": asked,
        "found": find(asked, kinds=KINDS, limit=20) if asked else [],
        "lines": Line.objects.select_related("maker").order_by("maker__name", "name")[:20],
    }
    return render(request, "registry/identify_start.html", given)


def wide_scope(request: HttpRequest) -> HttpResponse | None:
    """`?line=`, `?gtin=` or `?all=yes`: whose variants it may be."""
    if line := request.GET.get("line"):
        it = named(Line, line)
        if it is None:
            raise Http404
        of = it.releases.current().values_list("pk", flat=True)
        title = _("Something of %(line)s") % {"line": it}
        return page(request, Scope("line", it.public_id), title, of, line=it.public_id)
    if gtin := request.GET.get("gtin"):
        return of_gtin(request, gtin)
    if request.GET.get("all") == "yes":
        return page(request, Scope("all"), _("Something that is listed"), None, all="yes")
    return None


def of_gtin(request: HttpRequest, gtin: str) -> HttpResponse:
    """A bar code tells the pack, not which release is inside: one of these."""
    packs = list(Pack.objects.current().filter(gtin=gtin).order_by("name"))
    if not packs:
        raise Http404
    releases = list(Release.objects.current().filter(packs__in=packs).distinct().order_by("number", "name"))
    of = [each.pk for each in releases]
    title = _("One from %(pack)s") % {"pack": packs[0]}
    return page(request, Scope("gtin", gtin), title, of, gtin=gtin, one_of=releases)


def named_by_gtin(asked: str) -> HttpResponse | None:
    """Straight to what a bar code may hold: its one release, or one of several."""
    try:
        gtin = parse_gtin(asked)
    except ValueError:
        return None
    packs = Pack.objects.current().filter(gtin=gtin)
    names = list(
        Release.objects.current().filter(packs__in=packs).distinct().values_list("public_id", flat=True)[:2]
    )
    if len(names) == 1:
        return redirect("identify-release", public_id=names[0])
    return redirect(f"{reverse('identify')}?{urlencode({'gtin': gtin})}") if names else None


@said_plainly
def release(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Release, public_id, "line", "casting", "merged_into")
    return moved(it) or page(request, Scope("release", it.public_id), str(it), [it.pk], release=it)


@said_plainly
def casting(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Casting, public_id, "maker", "merged_into")
    releases = browse.releases_of(it)
    of = [each.pk for each in releases]
    scope = Scope("casting", it.public_id)
    return moved(it) or page(request, scope, str(it), of, casting=it, one_of=releases)


def moved(thing: Release | Casting) -> HttpResponse | None:
    """A merged record's page leads to the same page of its survivor."""
    if survivor_page(thing) is None:
        return None
    return redirect(f"identify-{thing._meta.model_name}", public_id=thing.survivor.public_id)


def page(
    request: HttpRequest, scope: Scope, title: str, of: Iterable[int] | None, **beside: Any
) -> HttpResponse:
    """The whole page, or for htmx only its form with the answer."""
    known = query.known_in(scope, None if of is None else list(of))
    look = Look.read(request.GET.dict(), known)
    question = Question(scope, look.observed, look.can, keep=RANKED, checks=len(known.table.traits))
    told = query.answer(question, known)
    given = {"title": title, "look": look, "told": told, "held": HELD, "aids": AIDS, **beside}
    given |= cards(known, look, told) | endings(known, look, told, beside.get("release"))
    given["address"] = request.path
    given["unlisted"] = told["variants"] - len(told["ranking"])
    given["hidden"] = [(name, beside[name]) for name in ("line", "gtin", "all") if name in beside]
    htmx: Any = getattr(request, "htmx", None)
    is_part = bool(htmx) and not htmx.history_restore_request
    answer = render(request, f"registry/{'_identify' if is_part else 'identify'}.html", given)
    patch_vary_headers(answer, ["HX-Request"])
    return answer


def cards(known: Known, look: Look, told: dict[str, Any]) -> dict[str, Any]:
    """The next detail to look at, those answered, and the best of the others that can be looked at now."""
    following = told["next_check"]["trait"] if told["next_check"] else None
    others = [check["trait"] for check in told["checks"] if check["trait"] != following]
    asked = [*look.said, *others[:ASKED_BESIDE], *([following] if following else [])]
    marks = query.samples(known, asked)
    made = {trait: card(known.details[trait], look, marks) for trait in asked}
    return {
        "following": made.get(following or ""),
        "answered": [made[trait] for trait in look.said],
        "others": [made[trait] for trait in others[:ASKED_BESIDE]],
        "more": max(0, len(others) - ASKED_BESIDE),
    }


def endings(known: Known, look: Look, told: dict[str, Any], release: Release | None) -> dict[str, Any]:
    """Where to go from here: the likeliest variant's page, or a report of a new one with all that was said."""
    ranking = told["ranking"]
    best = ranking[0] if ranking and look.said and ranking[0]["probability"] >= LIKELY else None
    strange = bool(look.said) and (told["not_listed"]["is_likeliest"] or not told["fitting"])
    said: list[tuple[str, str]] = [("state", state) for state in look.states]
    if ranking:
        said.insert(0, ("differs_from", ranking[0]["variant"]))
    elif release:
        said.insert(0, ("release", release.public_id))
    none = [trait for trait, word in look.said.items() if word == "none"]
    said += [("none", trait) for trait in none]
    unnamed = [known.details[trait].label for trait in none]
    return {"best": best, "may_be_new": strange, "unnamed": unnamed, "report_query": urlencode(said)}
