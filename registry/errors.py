"""Every way the registry can refuse.

RegistryError
    NotPermitted            this member may not do it
        RoleRequired            the step needs a reviewer or a moderator
        OwnSubmission           nobody votes on what they brought in themselves
        AccountClosed           the account is suspended
        ConflictDeclared        somebody who declared to belong with the voter has the vote already
        SecondPersonNeeded      the step takes two moderators, and this is only one
        SecondStepNeeded        reviewers and moderators sign in by two steps, and this account by one
    NotFound                there is no such thing, or it is not yours to see
    WrongMoment             nobody may do it just now
        AlreadyClosed           the claim, dispute or draft has ended
            BaseRevisionStale       the claim entered or left the record since the revision looked at
        IdentityMoved           the record was merged, split or struck
        MergeCycle              the record to merge into was merged into this one
        DecidedBefore           the same objection was decided before, and nothing new was shown
        EditionUnchanged        nothing has changed since the last edition
        NothingToLearn          no vote counts yet
    Unacceptable            the thing offered cannot be taken
        InvalidField            one named field is wrong: says the value and the remedy
            UnknownReference        an id that names nothing here
            InTheFuture             a date that has not come yet
        TwinExists              an equal thing is already listed: the answer names it
        NearTwin                the name is almost a known one: confirm that it is another
        DifferenceMissing       a report on a release with variants must name what differs
        ImageRefused            the picture cannot be read, or is too large
        SheetRefused            lines of a file cannot be taken: names each
    Conflict                the writer's copy is out of date
    TooMany                 the account has sent its fill for now: says when it may go on
    Busy                    the registry has its hands full: the same again in a moment

`code` is stable and public; the sentence may be reworded, and sentences.said gives it in the reader's language.
`field` names the input at fault and `extra` carries facts a program may act on, such as the id of a twin.
"""

from __future__ import annotations

from typing import Any

from registry.sentences import Sentence


class RegistryError(Exception):
    code = "refused"
    message = Sentence("The registry cannot do that.")

    def __init__(self, message: str = "", *, field: str = "", **extra: Any) -> None:
        super().__init__(message or self.message)
        self.field = field
        self.extra = extra


class NotPermitted(RegistryError):
    code = "not-permitted"
    message = Sentence("Your account may not do that.")


class RoleRequired(NotPermitted):
    code = "role-required"
    message = Sentence("This step needs a role that your account does not hold. A moderator can grant it.")


class OwnSubmission(NotPermitted):
    code = "own-submission"
    message = Sentence(
        "You reported this, or your photo is its evidence, so others must vote on it. "
        "If you have since added another example of yours, name it in the vote."
    )


class AccountClosed(NotPermitted):
    code = "account-closed"
    message = Sentence("This account is suspended and can only read.")


class ConflictDeclared(NotPermitted):
    code = "conflict-declared"
    message = Sentence(
        "An account declared to belong together with yours has voted here already, and the two count once."
    )


class SecondPersonNeeded(NotPermitted):
    code = "second-person-needed"
    message = Sentence("This takes two moderators: another one than the one who asked has to confirm it.")


class SecondStepNeeded(NotPermitted):
    code = "second-step-needed"
    message = Sentence(
        "Reviewers and moderators sign in by two steps, so that a stolen password alone decides nothing. "
        "To add a passkey or an authenticator app, select your name at the top, then “Second step of signing in”."
    )


class NotFound(RegistryError):
    code = "not-found"
    message = Sentence("There is no such record.")


class WrongMoment(RegistryError):
    code = "wrong-moment"
    message = Sentence("That cannot be done just now.")


class AlreadyClosed(WrongMoment):
    code = "already-closed"
    message = Sentence("This has already ended. Reload the page to see how.")


class BaseRevisionStale(AlreadyClosed):
    code = "base-revision-stale"
    message = Sentence(
        "The record was corrected since you looked at it. Reload the page and look at what stands now."
    )


class IdentityMoved(WrongMoment):
    code = "identity-moved"
    message = Sentence("This record was merged, split or struck. Use the record that took its place.")


class MergeCycle(WrongMoment):
    code = "merge-cycle"
    message = Sentence("That record was itself merged into this one.")


class DecidedBefore(WrongMoment):
    code = "decided-before"
    message = Sentence(
        "This was decided before. Bring a photograph taken into the registry since, or ask a moderator."
    )


class EditionUnchanged(WrongMoment):
    code = "edition-unchanged"
    message = Sentence("Nothing that is published has changed since the last edition.")


class NothingToLearn(WrongMoment):
    code = "nothing-to-learn"
    message = Sentence("No vote counts yet, so there is nothing to learn from. Let reviewers vote first.")


class Unacceptable(RegistryError):
    code = "validation-failed"
    message = Sentence("That cannot be taken as it is.")


class InvalidField(Unacceptable):
    """One field is wrong. `remedy` says what would be right."""

    code = "validation-failed"

    def __init__(self, field: str, value: object, remedy: str, **extra: Any) -> None:
        shown = repr(value) if len(repr(value)) <= 80 else repr(value)[:77] + "..."
        said = Sentence(
            "%(field)s: %(shown)s cannot be taken. %(remedy)s", field=field, shown=shown, remedy=remedy
        )
        super().__init__(said, field=field, **extra)
        self.value, self.remedy = value, remedy


class UnknownReference(InvalidField):
    code = "unknown-reference"


class InTheFuture(InvalidField):
    code = "in-the-future"


class TwinExists(Unacceptable):
    code = "twin-exists"
    message = Sentence("An equal record is already listed.")


class NearTwin(Unacceptable):
    code = "near-twin"
    message = Sentence(
        "A very similar name is already listed. Confirm that this one is different, or use the known one."
    )


class DifferenceMissing(Unacceptable):
    code = "difference-missing"
    message = Sentence(
        "This release already has a variant, so say what differs: name at least one detail, "
        "its state here and its state on the variant it differs from."
    )


class ImageRefused(Unacceptable):
    code = "image-refused"
    message = Sentence(
        "This picture cannot be taken. Send a JPEG, PNG or WebP file of up to 12 MB and 40 megapixels."
    )


class SheetRefused(Unacceptable):
    """`extra["faults"]` lists the faults: line, field, value, detail."""

    message = Sentence("Lines of this file cannot be taken, so none was kept.")


class Conflict(RegistryError):
    code = "etag-stale"
    message = Sentence(
        "This was changed by somebody else in the meantime. Reload it and make your change again."
    )


class TooMany(RegistryError):
    """`retry_after`: whole seconds until the account may go on."""

    code = "quota-reached"
    message = Sentence("That is as much as your account may send in a day.")

    def __init__(self, message: str = "", *, retry_after: int, **extra: Any) -> None:
        super().__init__(message, **extra)
        self.retry_after = retry_after


class Busy(RegistryError):
    """`retry_after`: whole seconds after which it is worth asking again."""

    code = "overloaded"
    message = Sentence("The registry is busy. Ask again in a few seconds.")
    retry_after = 5
