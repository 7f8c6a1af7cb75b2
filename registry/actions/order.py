"""State what is known of the order of variants, take it back, and say how a line's codes are read."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from registry.errors import AlreadyClosed, IdentityMoved, InTheFuture, InvalidField, NotPermitted, TwinExists
from registry.methods import codes, reasons
from registry.models import (
    CodeDates,
    CodePattern,
    Dispute,
    JournalEntry,
    Line,
    Member,
    Outcome,
    Release,
    Role,
    SourceKind,
    Statement,
    StatementKind,
    Variant,
)
from registry.models.statements import BOUNDS, RELATIONS
from registry.queries.statements import begin_of
from registry.sentences import Sentence

from . import wording
from .admission import active, require
from .correct import end
from .journalled import journalled
from .quotas import admit
from .settle import locked, settle_release


@journalled
def make_statement(
    *,
    by: Member,
    at: datetime,
    release: Release,
    kind: str,
    variant: Variant,
    source_kind: str,
    source: str,
    other: Variant | None = None,
    on: date | None = None,
    code: str = "",
    code_pattern: CodePattern | None = None,
) -> Statement:
    """State an order between two variants of a release, a date bound on one, or the code that one carries.

    A relation names two variants; `packed` those and the packing date; a bound a date; `coded` the code and the
    pattern it is read by. Errors: InvalidField, InTheFuture, IdentityMoved; TwinExists where the member has said it.
    """
    member = admit(by, "sightings", at)
    release = locked(release)
    statement = Statement(
        release=release,
        kind=wording.choice("kind", kind, StatementKind),
        variant=variant,
        other=other,
        on=on,
        source_kind=wording.choice("source_kind", source_kind, SourceKind),
        source=wording.line("source", source, 200),
        author=member,
        added_at=at,
    )
    check_variants(statement)
    check_shape(statement)
    if statement.kind == StatementKind.CODED:
        read_code(statement, code, code_pattern)
    elif code or code_pattern:
        raise InvalidField("code", code, Sentence("Only a statement of the kind coded names a code."))
    check_days(statement, at)
    refuse_repeated(statement)
    statement.save()
    detail: dict[str, Any] = {"release": release.public_id, "kind": statement.kind}
    JournalEntry.objects.record(by=member, verb="statement.made", about=statement, at=at, detail=detail)
    settle_release(release=release, at=at)
    statement.refresh_from_db()
    return statement


def check_variants(statement: Statement) -> None:
    for field, named in (("variant", statement.variant), ("other", statement.other)):
        if named is not None and named.release_id != statement.release_id:
            raise InvalidField(
                field,
                named.public_id,
                Sentence("Choose a variant of %(release)s.", release=statement.release),
            )
        if named is not None and named.is_gone:
            raise IdentityMoved(field=field)
    if statement.other and statement.other.pk == statement.variant.pk:
        raise InvalidField("other", statement.other.public_id, Sentence("Name two different variants."))


def check_shape(statement: Statement) -> None:
    """Each kind names what it needs, and nothing else."""
    other, on = statement.other, statement.on
    if statement.kind in BOUNDS and (other is not None or on is None):
        raise InvalidField("on", on, Sentence("A bound on one variant needs a date and no second variant."))
    if statement.kind in RELATIONS and (other is None or on is not None):
        raise InvalidField(
            "other", other and other.public_id, Sentence("An order needs a second variant and no date.")
        )
    if statement.kind == StatementKind.PACKED and other is None:
        raise InvalidField("other", None, Sentence("Name the variant that it was packed with."))
    if statement.kind == StatementKind.PACKED and on is None:
        raise InvalidField("on", None, Sentence("Give the packing date."))
    if statement.kind == StatementKind.CODED and (other is not None or on is not None):
        raise InvalidField(
            "on", on, Sentence("A code needs no second variant and no date: it is read by its pattern.")
        )


def read_code(statement: Statement, code: object, pattern: CodePattern | None) -> None:
    """The days that the code means, by the pattern. Errors: InvalidField saying where the code departs from it."""
    if pattern is None or pattern.line_id != statement.release.line_id:
        named = pattern and pattern.public_id
        raise InvalidField(
            "code_pattern", named, Sentence("Choose a pattern of %(line)s.", line=statement.release.line)
        )
    if statement.source_kind != SourceKind.PRODUCTION_CODE:
        raise InvalidField("source_kind", statement.source_kind, Sentence("A code is a production_code."))
    statement.code = wording.line("code", code, 40).upper()
    statement.code_pattern = pattern
    try:
        statement.on, statement.until = pattern.pattern.read(statement.code)
    except ValueError as fault:
        raise InvalidField(
            "code", statement.code, wording.Opening("%(fault)s.", fault=fault.args[0])
        ) from None


def check_days(statement: Statement, at: datetime) -> None:
    """Errors: InTheFuture, or InvalidField for a day on which nothing of the release can have been made."""
    if statement.on is None:
        return
    field = "code" if statement.kind == StatementKind.CODED else "on"
    if field == "on":
        wording.past_day("on", statement.on, at)
    elif statement.on > at.date():
        raise InTheFuture(
            field, statement.code, Sentence("It says %(on)s or later, which has not come.", on=statement.on)
        )
    begin, last = begin_of(statement.release), statement.until or statement.on
    if last < begin:
        raise InvalidField(
            field,
            statement.code or last.isoformat(),
            Sentence(
                "Nothing of %(release)s was made before %(begin)s.", release=statement.release, begin=begin
            ),
        )


def refuse_repeated(statement: Statement) -> None:
    same = {name: getattr(statement, name) for name in ("author", "kind", "variant", "other", "on", "code")}
    if known := Statement.objects.filter(**same, closed_at=None).first():
        raise TwinExists(
            Sentence(
                "You have said this already (%(id)s). Take that back first to say it anew.", id=known.shown_id
            ),
            statement=known.public_id,
        )


@journalled
def close_statement(*, statement: Statement, by: Member, at: datetime) -> Statement:
    """Take a statement back: its author or a moderator. Open disputes of it have then had their way."""
    member = active(by)
    release = locked(statement.release)
    kept = Statement.objects.select_for_update().get(pk=statement.pk)
    if kept.author_id != by.pk and not member.is_moderator:
        raise NotPermitted(
            Sentence("Only who made a statement, or a moderator, can take it back. Dispute it instead.")
        )
    if kept.closed_at:
        raise AlreadyClosed(Sentence("This statement has already been taken back."))
    kept.closed_at = at
    kept.save(update_fields=["closed_at"])
    JournalEntry.objects.record(by=by, verb="statement.closed", about=kept, at=at)
    for dispute in Dispute.objects.open().filter(statement=kept):
        end(dispute, Outcome.CORRECTED, at, by=None, reason=reasons.STATEMENT_TAKEN_BACK)
    settle_release(release=release, at=at)
    kept.refresh_from_db()
    return kept


@journalled
def add_code_pattern(
    *,
    by: Member,
    at: datetime,
    line: Line,
    name: str,
    template: str,
    dates: str,
    first_year: int,
    source: str,
    margin_days: int = 0,
) -> CodePattern:
    """Say how one kind of code on a line's items is read, and what it dates. Errors: RoleRequired, InvalidField."""
    moderator = require(by, Role.MODERATOR)
    pattern = CodePattern(
        line=line,
        name=wording.line("name", name, 80),
        template=wording.line("template", template, codes.LONGEST),
        dates=wording.choice("dates", dates, CodeDates),
        first_year=wording.whole("first_year", first_year, 1900, at.year),
        margin_days=wording.whole("margin_days", margin_days, 0, 366),
        source=wording.line("source", source, 200),
        added_by=moderator,
        added_at=at,
    )
    try:
        assert pattern.pattern
    except ValueError as fault:
        raise InvalidField(
            "template", pattern.template, Sentence("%(fault)s.", fault=fault.args[0])
        ) from None
    if known := CodePattern.objects.filter(line=line, name=pattern.name, template=pattern.template).first():
        raise TwinExists(
            Sentence("This line has that pattern already."), field="template", pattern=known.public_id
        )
    pattern.save()
    JournalEntry.objects.record(
        by=moderator, verb="codepattern.added", about=pattern, at=at, detail={"line": line.public_id}
    )
    return pattern
