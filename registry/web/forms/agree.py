"""My example agrees on everything I can see: one line for each detail, with the exceptions to tap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext_lazy as _

from registry.models import Claim, Condition, Example, Verdict

from .photos import NewExampleForm

AGREES, DIFFERS, UNSEEN = "agrees", "differs", "unseen"
SAID = [(AGREES, _("mine agrees")), (DIFFERS, _("mine differs")), (UNSEEN, _("I cannot see it"))]


class AgreeForm(NewExampleForm):
    """Which example, and of each detail whether it agrees. An example not noted yet is noted with the votes."""

    mine = country = region = None  # type: ignore[assignment]  # it is mine, and where in the world says nothing here
    example = forms.ModelChoiceField(
        Example.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("Which example of yours?"),
        empty_label=_("one not noted here yet"),
    )
    condition = forms.ChoiceField(
        choices=[("", _("choose")), *Condition.choices],
        required=False,
        label=_("If not noted yet: how do you hold it?"),
    )
    note = forms.CharField(max_length=300, required=False, label=_("Note"))
    base_revision = forms.IntegerField(min_value=1, max_value=1_000_000, widget=forms.HiddenInput)
    field_order = ["example", "condition", "found_month", "found_shop", "found_case", "note"]

    def __init__(
        self, claims: Iterable[Claim], before: Mapping[int, str], examples: Any, *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.claims = {claim.public_id: claim for claim in claims}
        self.fields["example"].queryset = examples  # type: ignore[attr-defined]
        for key, claim in self.claims.items():
            was = DIFFERS if before.get(claim.pk) == Verdict.CONTRADICTS else AGREES
            self.fields[key] = forms.ChoiceField(
                choices=SAID,
                widget=forms.RadioSelect,
                initial=was,
                label=claim.words,
            )

    def details(self) -> list[tuple[Claim, BoundField]]:
        return [(claim, self[key]) for key, claim in self.claims.items()]

    def about_example(self) -> list[BoundField]:
        return [field for field in self if field.name not in self.claims]

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or self.cleaned_data
        if not said.get("example") and not said.get("condition") and "example" not in self.errors:
            self.add_error(
                "condition", _("Say whether it is sealed, boxed or loose, or choose one that you noted.")
            )
        return said

    def said(self) -> dict[str, Any]:
        """What the action is told."""
        said = self.cleaned_data
        places = {name: said[name] for name in ("condition", "found_shop", "found_case")}
        return {
            "example": said["example"],
            "noted": None if said["example"] else places | {"found_month": self.month()},
            "differs": self.those(DIFFERS),
            "unseen": self.those(UNSEEN),
            "note": said["note"],
            "base_revision": said["base_revision"],
        }

    def those(self, answer: str) -> list[Claim]:
        return [claim for key, claim in self.claims.items() if self.cleaned_data[key] == answer]
