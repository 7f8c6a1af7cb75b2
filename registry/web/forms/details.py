"""Step two of a report: for each detail, what mine has and what the one it differs from has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import Cause, Place, Submission, TraitKind
from registry.queries.reporting import Detail
from registry.sentences import Sentence

from .report import StepForm

NOT_LOOKED = ("", _("did not look"))
CAUSES = [
    ("", _("not known yet")),
    *((cause.value, cause.label) for cause in Cause if cause is not Cause.BASELINE),
]
KINDS = [choice for choice in TraitKind.choices if choice[0] != TraitKind.CAUSE]
NEEDED = {"state": ("state_trait", "state_name"), "trait": ("trait_name", "trait_place", "trait_kind")}


class WordsForm(StepForm):
    """Name and story of the variant, and what it proposes besides: a state or a detail that is missing."""

    title = forms.CharField(
        max_length=120,
        required=False,
        label=_("Short name"),
        help_text=_("Left empty, it is made from what differs."),
    )
    nicknames = forms.CharField(
        max_length=400, required=False, label=_("Nicknames"), help_text=_("Separated by commas.")
    )
    cause = forms.ChoiceField(choices=CAUSES, required=False, label=_("Why it differs, if you can tell"))
    noticed_in = forms.CharField(
        max_length=200,
        required=False,
        label=_("Published before?"),
        help_text=_("Where it was first written about."),
    )
    note = forms.CharField(
        max_length=500,
        required=False,
        label=_("Note to the reviewers"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    also = forms.ChoiceField(
        choices=[("", ""), ("state", ""), ("trait", "")], required=False, widget=forms.HiddenInput
    )
    state_trait = forms.ChoiceField(required=False, label=_("Detail"))
    state_name = forms.CharField(
        max_length=80,
        required=False,
        label=_("What you see there"),
        help_text=_("A short name, such as: amber tint."),
    )
    trait_name = forms.CharField(
        max_length=80, required=False, label=_("Name of the detail"), help_text=_("Such as: ladder rungs.")
    )
    trait_place = forms.ChoiceField(
        choices=[("", _("choose")), *Place.choices], required=False, label=_("Where it is")
    )
    trait_kind = forms.ChoiceField(
        choices=[("", _("choose")), *KINDS], required=False, label=_("What kind of detail")
    )
    trait_how_to_inspect = forms.CharField(max_length=300, required=False, label=_("How to look at it"))
    trait_seen_in_pack = forms.BooleanField(required=False, label=_("It can be seen in the blister or box"))

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or self.cleaned_data
        for field in NEEDED.get(said.get("also", ""), ()):
            if not said.get(field) and field not in self.errors:
                self.add_error(field, _("It cannot be empty: fill it in to propose what is missing."))
        return said

    def words(self) -> dict[str, Any]:
        """Title, nicknames and story, as the draft keeps them."""
        said = self.cleaned_data
        nicknames = [name.strip() for name in said["nicknames"].split(",") if name.strip()]
        return {field: said[field] for field in ("title", "cause", "noticed_in", "note")} | {
            "nicknames": nicknames
        }

    def proposal(self) -> dict[str, Any]:
        """The proposed state or detail that the pressed button asks for."""
        prefix = self.cleaned_data["also"]
        said = {
            field.removeprefix(f"{prefix}_"): value
            for field, value in self.cleaned_data.items()
            if prefix and field.startswith(f"{prefix}_") and value != ""
        }
        return said


@dataclass(frozen=True)
class Row:
    """One line of the table: the detail, and its one or two questions."""

    detail: Detail
    mine: forms.BoundField
    other: forms.BoundField | None


class DetailsForm(WordsForm):
    """Two questions a detail. Different answers make a difference, equal ones a likeness, one alone a statement.

    Where the other variant is listed with a state already, that is its answer and nobody is asked for it.
    """

    def __init__(
        self, draft: Submission, details: list[Detail], *args: Any, unnamed: str = "", **kwargs: Any
    ) -> None:
        """`unnamed`: the detail of which a state is to be named first."""
        self.details, self.compares = details, draft.differs_from is not None and draft.variant is None
        self.other_title = draft.differs_from.title if draft.differs_from else ""
        kwargs["initial"] = {"revision": draft.revision, **words_in(draft), **self.answers_in(draft)}
        kwargs["initial"]["state_trait"] = unnamed
        super().__init__(*args, **kwargs)
        traits = [(detail.trait, detail.name) for detail in details]
        self.fields["state_trait"].choices = [("", _("choose")), *traits]  # type: ignore[attr-defined]
        for n, detail in enumerate(details):
            choices = [NOT_LOOKED, *detail.states]
            label = Sentence("%(detail)s on mine", detail=detail.name)
            self.fields[f"mine_{n}"] = forms.ChoiceField(choices=choices, required=False, label=label)
            if self.compares and not detail.listed:
                label = Sentence("%(detail)s on %(variant)s", detail=detail.name, variant=self.other_title)
                self.fields[f"other_{n}"] = forms.ChoiceField(choices=choices, required=False, label=label)

    def answers_in(self, draft: Submission) -> dict[str, Any]:
        claims = {str(claim.get("trait")): claim for claim in draft.content.get("claims") or []}
        initial: dict[str, Any] = {}
        for n, detail in enumerate(self.details):
            claim = claims.get(detail.trait, {})
            initial[f"mine_{n}"] = claim.get("state", "")
            initial[f"other_{n}"] = claim.get("base_state", "")
        return initial

    def rows(self) -> Iterator[Row]:
        for n, detail in enumerate(self.details):
            other = self[f"other_{n}"] if f"other_{n}" in self.fields else None
            yield Row(detail, self[f"mine_{n}"], other)

    def claims(self, proposed: Mapping[str, str]) -> list[dict[str, Any]]:
        """What was answered, as the draft keeps it; of the details named, the state just proposed."""
        answers = (
            (n, detail, proposed.get(detail.trait) or self.cleaned_data.get(f"mine_{n}"))
            for n, detail in enumerate(self.details)
        )
        return [self.claim(detail, mine, self.other(n, detail)) for n, detail, mine in answers if mine]

    def other(self, n: int, detail: Detail) -> str:
        if not self.compares:
            return ""
        return detail.listed[0] if detail.listed else self.cleaned_data.get(f"other_{n}") or ""

    def claim(self, detail: Detail, mine: str, other: str) -> dict[str, Any]:
        if not other:
            return {"trait": detail.trait, "state": mine, "kind": "stated"}
        kind = "alike" if mine == other else "difference"
        return {"trait": detail.trait, "state": mine, "kind": kind, "base_state": other}


def words_in(draft: Submission) -> dict[str, Any]:
    said = draft.content
    words = {field: said.get(field, "") for field in ("title", "cause", "noticed_in", "note")}
    return {**words, "nicknames": ", ".join(said.get("nicknames") or [])}
