"""The words of the demonstration. Standings of the past are not remembered: the journal is replayed up to then."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from datetime import datetime

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from registry.methods.replay import BEARING_VERBS, Line, fold
from registry.methods.standing import VariantStanding, decide
from registry.models import JournalEntry, Variant
from registry.models import VariantStanding as Standing
from registry.queries.facts import current_policy
from registry.queries.fits import reliabilities_of

WIDTH = 100
INDENT = " " * 5


class Teller:
    """Says the story line by line, steps numbered, addresses whole."""

    def __init__(self, say: Callable[[str], object], site: str) -> None:
        self.say, self.site = say, site
        self._step = 0

    def heading(self, words: str) -> None:
        self.say(f"\n{words}\n{'-' * len(words)}")

    def step(self, words: str, at: datetime | None = None) -> None:
        """One more numbered step; `at` where it is something that was kept."""
        self._step += 1
        on = f" ({date_format(timezone.localtime(at), 'j M Y H:i')})" if at else ""
        self.wrapped(f"{self._step:>2}.  ", words + on)

    def line(self, words: str) -> None:
        self.wrapped(INDENT, words)

    def wrapped(self, first: str, words: str, after: str = INDENT) -> None:
        lines = textwrap.wrap(
            words, WIDTH, initial_indent=first, subsequent_indent=after, break_on_hyphens=False
        )
        self.say("\n".join(lines))

    def address(self, name: str, *args: object) -> str:
        return self.site + reverse(name, args=args)

    def variant(self, variant: Variant, then: VariantStanding) -> None:
        """Id and address of a variant, its standing at the time, and what was still missing."""
        self.line(f"{variant.shown_id}  {self.address('variant', variant.public_id)}")
        self.line(f"Standing: {Standing(then.standing).label}.")
        self.missing(then.missing)

    def missing(self, sentences: Sequence[str]) -> None:
        if sentences:
            self.line(f"Still missing ({len(sentences)}):")
        for sentence in sentences:
            self.wrapped(f"{INDENT}- ", sentence, f"{INDENT}  ")


def standing_then(variant: Variant, at: datetime) -> VariantStanding:
    """The standing of a variant just after what happened at that moment, from the journal alone."""
    entries = JournalEntry.objects.filter(verb__in=BEARING_VERBS, at__lte=at).order_by("pk")
    rows = entries.values_list("pk", "verb", "by__public_id", "detail")
    facts = fold(Line(*row) for row in rows.iterator())[variant.release.public_id]
    return decide(facts, current_policy(), reliabilities_of(facts)).variants[variant.public_id]


def standings_table(say: Callable[[str], object]) -> None:
    """How many variants stand where."""
    for standing in Standing:
        if count := Variant.objects.filter(standing=standing).count():
            say(f"{INDENT}{standing.label:<14}{count:>4}")
