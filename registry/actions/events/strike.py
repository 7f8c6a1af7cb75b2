"""Strike what should never have been listed; give a variant a better title."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from registry.errors import InvalidField
from registry.methods import reasons
from registry.models import Member, ModeratorEventKind, StrikeReason, Variant
from registry.sentences import Sentence

from .. import wording
from ..admission import require_second
from ..journalled import journalled
from ..revise import revise
from .desk import conclude, deed, end_disputes, held, keep_event, keep_line, refuse_unless_live


@journalled
def strike_variant(
    *,
    variant: Variant,
    by: Member,
    at: datetime,
    reason_code: str,
    reason: str,
    seconded_by: Member | None = None,
) -> Variant:
    """Remove a variant: a customised item, a hoax. Its id says so for ever; its claims stay as history.

    Open disputes of its claims are taken back, as nobody can vote on them any more. Where there are two moderators it
    takes both: see actions.two_persons, which asks and confirms.
    Errors: RoleRequired, SecondPersonNeeded, IdentityMoved where it is gone already, InvalidField.
    """
    doing = deed(by, at, reason, seconded_by)
    require_second(doing.by, doing.seconded_by, at)
    code = wording.choice("reason_code", reason_code, StrikeReason)
    release, (gone,) = held(variant)
    refuse_unless_live(gone)
    end_disputes(gone, doing, reasons.VARIANT_STRUCK)
    keep_event(gone, ModeratorEventKind.STRUCK, doing, reason_code=code)
    keep_line(gone, "struck", doing, reason_code=code.value)
    conclude(release, doing, gone)
    return gone


@journalled
def retitle_variant(
    *,
    variant: Variant,
    by: Member,
    at: datetime,
    reason: str,
    title: str | None = None,
    nicknames: Sequence[str] | None = None,
    seconded_by: Member | None = None,
) -> Variant:
    """Give it a better title, other nicknames, or both, in a new revision; what is not named stays as it was.

    Errors: RoleRequired, IdentityMoved, InvalidField where nothing would change.
    """
    doing = deed(by, at, reason, seconded_by)
    release, (kept,) = held(variant)
    refuse_unless_live(kept)
    before = kept.title, kept.nicknames
    if title is not None:
        kept.title = wording.line("title", title, 120)
    if nicknames is not None:
        kept.nicknames = wording.lines("nicknames", nicknames, 60)
    if (kept.title, kept.nicknames) == before:
        raise InvalidField("title", kept.title, Sentence("That is what it is called now."))
    revise(variant=kept, author=doing.by, reason=doing.reason, at=at)
    keep_line(kept, "retitled", doing, title=kept.title)
    conclude(release, doing, kept)
    return kept
