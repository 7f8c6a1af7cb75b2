"""The chart of a photograph: looked for, pointed out, or said not to be there."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from registry import actions
from registry.actions.colours import refuse_others
from registry.models import ChartKind, Photo
from registry.web.forms.chart import ChartForm, placed
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly
from registry.web.views.photos import page_of, seen_photo

FOUND = {
    ChartKind.PATCH_CHART: gettext_lazy(
        "A 24-patch chart was found. Look whether its corners sit, then keep it."
    ),
    ChartKind.GREY_CARD: gettext_lazy(
        "This may be a grey card. Keep it only if it is one: a grey thing of another kind "
        "would make every colour wrong."
    ),
}


@login_required
@require_POST
@said_plainly
def chart(request: HttpRequest, public_id: str) -> HttpResponse:
    """One of the buttons of the form, by its `do`: look for the chart, keep it, or say that there is none."""
    it = seen_photo(request, public_id)
    do = request.POST.get("do", "")
    if do not in DO:
        raise Http404
    refuse_others(it, signed_in(request))
    return DO[do](request, it)


def look(request: HttpRequest, it: Photo) -> HttpResponse:
    """What was found is only proposed: the page shows it in the form."""
    form = ChartForm({}, auto_id="chart_%s")
    found: Any = attempt(request, form, actions.look_for_chart, photo=it)
    if not found:
        form = ChartForm(auto_id="chart_%s")
        words = _("No chart or grey card is seen whole in it. If there is one, point out its corners.")
        messages.info(request, words)
        return shown(request, it, form)
    messages.info(request, FOUND[ChartKind(found.kind)])
    return shown(request, it, ChartForm(initial=placed(found.kind, found.percents), auto_id="chart_%s"))


def keep(request: HttpRequest, it: Photo) -> HttpResponse:
    form = ChartForm(request.POST, auto_id="chart_%s")
    if form.is_valid():
        said = {"kind": form.cleaned_data["kind"], "corners": form.corners()}
        if attempt(request, form, actions.place_chart, photo=it, **said):
            messages.success(request, _("The chart is kept, and the marks are measured by it."))
            return redirect("photo", public_id=it.public_id)
    return shown(request, it, form, 422)


def none(request: HttpRequest, it: Photo) -> HttpResponse:
    form = ChartForm({}, auto_id="chart_%s")
    if attempt(request, form, actions.place_chart, photo=it, kind=ChartKind.NONE):
        messages.success(request, _("No colour is measured in this picture now."))
        return redirect("photo", public_id=it.public_id)
    return shown(request, it, form, 422)


def shown(request: HttpRequest, it: Photo, form: ChartForm, status: int = 200) -> HttpResponse:
    given = page_of(request, it, chart=form) | {"is_placing": True}
    return render(request, "registry/photo.html", given, status=status)


DO = {"look": look, "keep": keep, "none": none}
