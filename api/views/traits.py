"""Traits and states; what a release adopts, ranges over and is sold as."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Adoption, Pack, Release, ReleaseState, Role, State, Trait, TraitAgreement

from .. import filters
from ..problems import Problem
from ..serializers import catalogue as out
from ..serializers import catalogue_input as into
from .base import ApiView
from .catalogue import CatalogueList, OfPack, OfRelease
from .curation import AcceptView, CuratedRecord, CuratedRow, MergeView
from .rows import ListView


def agreed() -> Prefetch[Any]:
    """How far reviewers agree on each trait, by the fit in force."""
    return Prefetch("agreements", TraitAgreement.objects.in_force().select_related("fit"), to_attr="in_force")


class Traits(CatalogueList):
    """What is inspected on a vehicle, accepted or proposed."""

    serializer_class = out.TraitRecordOutput
    filterset_class = filters.TraitFilters
    inputs = {"POST": into.TraitInput}
    record_name = "trait"
    add = staticmethod(actions.add_trait)

    def rows(self) -> Any:
        return (
            Trait.objects.current().select_related("line", "casting__merged_into").prefetch_related(agreed())
        )


class OfTrait:
    serializer_class = out.TraitRecordOutput
    record_name = "trait"

    def rows(self) -> Any:
        related = ("line", "casting__merged_into", "merged_into")
        return Trait.objects.select_related(*related).prefetch_related(agreed())


class TraitRecord(OfTrait, CuratedRecord):
    inputs = {"PATCH": into.TraitRename}


class TraitAccept(OfTrait, AcceptView):
    pass


class TraitMerge(OfTrait, MergeView):
    inputs = {"POST": into.TraitMerge}


class States(CatalogueList):
    """The values that traits may have, accepted or proposed."""

    serializer_class = out.StateOutput
    filterset_class = filters.StateFilters
    inputs = {"POST": into.StateInput}
    record_name = "state"
    add = staticmethod(actions.add_state)

    def rows(self) -> Any:
        return State.objects.current().select_related("trait__merged_into")


class OfState:
    serializer_class = out.StateOutput
    record_name = "state"

    def rows(self) -> Any:
        return State.objects.select_related("trait__merged_into", "merged_into")


class StateRecord(OfState, CuratedRecord):
    inputs = {"PATCH": into.StateRename}


class StateAccept(OfState, AcceptView):
    pass


class StateMerge(OfState, MergeView):
    inputs = {"POST": into.StateMerge}


class InRelease(ListView):
    """A list of what belongs to one release."""

    roles = {"POST": Role.MODERATOR, "PUT": Role.MODERATOR}

    def release(self) -> Release:
        return self.pick(Release.objects.select_related("merged_into"), self.kwargs["public_id"])


class Adopted(InRelease):
    """The traits a release adopts, each with its states."""

    serializer_class = out.AdoptionOutput
    sort_keys = {"key": ("trait__key", "trait__public_id")}
    inputs = {"POST": into.AdoptionInput}

    def rows(self) -> Any:
        states = State.objects.current().select_related("trait__merged_into").order_by("key")
        related = ("trait__line", "trait__casting__merged_into", "trait__merged_into")
        adopted = Adoption.objects.filter(release=self.release()).select_related(*related)
        return adopted.prefetch_related(Prefetch("trait__states", states))

    def post(self, request: Request, public_id: str) -> Response:
        """The release takes up a trait, or says otherwise where it sits or is seen; for moderators."""
        made = actions.adopt_trait(**self.deed, release=self.release(), **self.asked())
        return self.show(self.rows().get(pk=made.pk), status=201)


class ReleaseStates(InRelease):
    """What single states are like on a release: fidelity to a subject, and the mark that shows them best."""

    serializer_class = out.ReleaseStateOutput
    sort_keys = {"state": ("state__public_id",)}
    creates = False

    def rows(self) -> Any:
        kept = ReleaseState.objects.filter(release=self.release())
        return kept.select_related("state__merged_into", "sample")


class OneReleaseState(ApiView):
    serializer_class = out.ReleaseStateOutput
    roles = {"PUT": Role.MODERATOR}
    inputs = {"PUT": into.ReleaseStateInput}

    def put(self, request: Request, public_id: str, state_id: str) -> Response:
        """Say how true a state of this release is to a subject, or which mark shows it best; for moderators."""
        release = self.pick(Release.objects.select_related("merged_into"), public_id)
        state = State.objects.filter(public_id=state_id).first()
        if state is None:
            raise Problem("not-found")
        said, now = self.asked(), timezone.now()
        if mark := said.pop("sample", None):
            kept = actions.set_sample(by=self.member, at=now, release=release, state=state, mark=mark)
        if said:
            kept = actions.set_fidelity(by=self.member, at=now, release=release, state=state, **said)
        return self.show(kept)


class FactView(CuratedRow):
    """POST adds one fact to a record and answers with the record."""

    def post(self, request: Request, public_id: str) -> Response:
        """Add it; for moderators. Answers with the record."""
        row = self.row(public_id)
        self.add(row, **self.deed, **self.asked())
        return self.again(row)

    def add(self, row: Any, **said: Any) -> Any:
        raise NotImplementedError


class ReleaseAvailability(OfRelease, FactView):
    """Add when and where a release was announced, sold, ended or pulled; for moderators."""

    inputs = {"POST": into.AvailabilityInput}

    def add(self, row: Release, **said: Any) -> Any:
        return actions.add_availability(release=row, **said)


class PackAvailability(OfPack, FactView):
    """Add when and where a pack was announced, sold, ended or pulled; for moderators."""

    inputs = {"POST": into.AvailabilityInput}

    def add(self, row: Pack, **said: Any) -> Any:
        return actions.add_availability(pack=row, **said)


class PackVersions(OfPack, FactView):
    """Add a change of card, box or insert; for moderators. It never makes a new variant."""

    inputs = {"POST": into.PackVersionInput}

    def add(self, row: Pack, **said: Any) -> Any:
        return actions.add_pack_version(pack=row, **said)


class ReleaseDrifts(OfRelease, FactView):
    """Record the normal range of a shade, gloss or position; for moderators."""

    inputs = {"POST": into.DriftInput}

    def add(self, row: Release, **said: Any) -> Any:
        return actions.record_drift(release=row, **said)


class ReleaseSealed(OfRelease, FactView):
    """Say whether sealed examples are not to be had; for moderators."""

    inputs = {"POST": into.SealedInput}

    def add(self, row: Release, **said: Any) -> Any:
        return actions.mark_sealed_unobtainable(release=row, value=said.pop("sealed_unobtainable"), **said)
