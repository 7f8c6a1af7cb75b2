"""Every problem this API can answer with: its slug, status, title, and what a program should do about it.

Slugs are stable. `type` is the address of the explanation, `/v1/problems/<slug>`. The slug of a refusal is the
`code` of its class in registry.errors. Source of the shape: RFC 9457.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rest_framework.exceptions import APIException


@dataclass(frozen=True, slots=True)
class ProblemKind:
    status: int
    title: str
    remedy: str


KINDS: dict[str, ProblemKind] = {
    # 400: the request itself
    "malformed": ProblemKind(400, "The request cannot be read", "Send a whole, well-formed request."),
    "malformed-json": ProblemKind(
        400,
        "The body is not plain JSON",
        "Send one JSON text in UTF-8 (RFC 8259): no repeated keys, no NaN or infinity, no half characters, "
        "at most 20 levels deep and 200 keys in one object.",
    ),
    "parameter-unknown": ProblemKind(
        400,
        "A parameter is not known here",
        "Remove it or correct its name; the document at /v1/openapi.json lists the parameters of each path. "
        "A parameter that is ignored would be a silent change of meaning. A token never belongs in an address.",
    ),
    "parameter-out-of-range": ProblemKind(
        400, "A parameter has a value that cannot be used", "Use a value in the range that the answer names."
    ),
    "cursor-mismatch": ProblemKind(
        400,
        "The cursor does not belong to this list",
        "Use a cursor as it was given, with the same filters, or begin again without one.",
    ),
    "idempotency-key-missing": ProblemKind(
        400,
        "The Idempotency-Key is missing",
        "Send the header Idempotency-Key with 1 to 128 printable characters without spaces, new for each thing "
        "to be done and the same for each repetition of it, such as a random UUID.",
    ),
    # 401 and 403: who asks
    "token-missing": ProblemKind(
        401,
        "This needs an account",
        "Make a token on your account page and send it as `Authorization: Bearer TOKEN`.",
    ),
    "token-expired": ProblemKind(
        401,
        "The token is not valid",
        "It is unknown, expired or revoked, or its member is suspended. Make a new one on your account page.",
    ),
    "role-required": ProblemKind(403, "This needs a role", "Ask a moderator to grant your account the role."),
    "scope-missing": ProblemKind(
        403,
        "The token does not reach that far",
        "Make a token that holds one of the scopes that the answer names.",
    ),
    "csrf-failed": ProblemKind(
        403,
        "The cross-site check failed",
        "A request with a session cookie must carry the X-CSRFToken header. Programs should use a token instead.",
    ),
    "not-permitted": ProblemKind(403, "Your account may not do that", "Only its owner or a moderator may."),
    "own-submission": ProblemKind(
        403, "Nobody votes on what they brought in", "Let others vote, or name another example of yours."
    ),
    "conflict-declared": ProblemKind(
        403,
        "An account declared as linked has voted there",
        "Linked accounts have one vote between them: let the other one take theirs back first.",
    ),
    "second-step-needed": ProblemKind(
        403,
        "This needs a second step of signing in",
        "Reviewers and moderators add a passkey or an authenticator app on their account page.",
    ),
    "second-person-needed": ProblemKind(403, "This takes two moderators", "Ask another one to confirm it."),
    "account-closed": ProblemKind(403, "The account is suspended", "It can only read. Ask a moderator why."),
    # 404 to 406
    "not-found": ProblemKind(404, "There is no such record", "Check the id, or look it up at /v1/search."),
    "identifier-invalid": ProblemKind(
        404,
        "That is not an id",
        "An id has twelve letters and digits, the last of which checks the others. A symbol is mistyped or missing.",
    ),
    "method": ProblemKind(405, "The method is not allowed here", "Use one of those in the Allow header."),
    "representation": ProblemKind(
        406, "No representation fits the Accept header", "Accept application/json, or leave the header out."
    ),
    # 409 and 410
    "wrong-moment": ProblemKind(
        409, "That cannot be done just now", "The detail says why and what to wait for."
    ),
    "base-revision-stale": ProblemKind(
        409,
        "The record was corrected since you looked at it",
        "Read the variant again, and vote on the claim that stands now, naming its newest revision.",
    ),
    "already-closed": ProblemKind(409, "It has ended", "Read the record again to see how."),
    "identity-moved": ProblemKind(
        409,
        "The record was merged, split or struck",
        "Read its /fate, and act on the record that took its place.",
    ),
    "merge-cycle": ProblemKind(
        409,
        "The record to merge into was merged into this one",
        "Restore the one that should stay, then merge the other into it.",
    ),
    "decided-before": ProblemKind(
        409,
        "This objection was decided before",
        "Name in `photo` a photograph taken into the registry since it was decided, or ask a moderator.",
    ),
    "edition-unchanged": ProblemKind(409, "Nothing has changed since the last edition", "Wait for a change."),
    "nothing-to-learn": ProblemKind(
        409, "No vote counts yet", "Wait until reviewers have voted: then there is something to learn from."
    ),
    "idempotency-in-progress": ProblemKind(
        409, "The same request is still running", "Ask again after the seconds in Retry-After."
    ),
    "struck": ProblemKind(410, "The record was struck by moderators", "Read its /fate for the reason."),
    "identity-split": ProblemKind(
        410, "The record was split", "Use one of the successors that the answer lists."
    ),
    "taken-down": ProblemKind(
        410, "The picture was taken down", "It is no longer shown; marks on it prove nothing."
    ),
    "withheld-by-law": ProblemKind(
        451,
        "The picture was taken down on a legal demand",
        "It is no longer shown; marks on it prove nothing. A moderator may show it again after a counter-notice.",
    ),
    # 412 to 415, 428
    "etag-stale": ProblemKind(
        412, "Your copy is out of date", "Read the record again, and make your change to what it says now."
    ),
    "if-match-required": ProblemKind(
        428, "If-Match is missing", "Send the ETag of the copy you changed, so that nobody's change is lost."
    ),
    "too-large": ProblemKind(413, "The request is too large", "JSON may have 1 MB and a picture 12 MB."),
    "media-type": ProblemKind(
        415, "The body is of a type that cannot be read here", "Send JSON, or a picture as JPEG, PNG or WebP."
    ),
    # 422: well formed, but not acceptable
    "refused": ProblemKind(422, "The registry cannot do that", "The detail says why."),
    "validation-failed": ProblemKind(
        422,
        "Something sent cannot be taken",
        "Each entry of `errors` points at a field and says what would be right.",
    ),
    "unknown-reference": ProblemKind(422, "An id names nothing here", "Look the id up at /v1/search."),
    "in-the-future": ProblemKind(422, "The date has not come yet", "Give a day that has already come."),
    "twin-exists": ProblemKind(
        422, "An equal record is already listed", "Report on the record that is named."
    ),
    "near-twin": ProblemKind(
        422,
        "A very similar name is listed",
        "Use one of `twins`, or send `is_new` to say that it is another thing.",
    ),
    "difference-missing": ProblemKind(
        422,
        "The report names no difference",
        "Name a trait, its state here, and its state on the other variant.",
    ),
    "image-refused": ProblemKind(
        422, "The picture cannot be taken", "Send a JPEG, PNG or WebP file of up to 12 MB and 40 megapixels."
    ),
    "idempotency-key-reused": ProblemKind(
        422,
        "The Idempotency-Key was used for another request",
        "Use a new key for each new thing to be done.",
    ),
    # 429 and above
    "rate-limited": ProblemKind(
        429,
        "Too many requests",
        "Wait for the seconds in Retry-After. The whole list is at /v1/editions/latest.",
    ),
    "quota-reached": ProblemKind(
        429,
        "The account has sent its fill for today",
        "Wait for the seconds in Retry-After. An account may send more once others confirmed what it reported.",
    ),
    "internal": ProblemKind(
        500,
        "Something broke on our side",
        "Ask again later; `instance` names this failure to whoever runs the site.",
    ),
    "overloaded": ProblemKind(503, "The registry is busy", "Ask again after the seconds in Retry-After."),
}


class Problem(APIException):
    """Raised by this package itself; refusals of the registry come as registry.errors.RegistryError."""

    def __init__(
        self, slug: str, detail: str = "", *, errors: list[dict[str, str]] | None = None, **extra: Any
    ) -> None:
        self.slug = slug
        self.kind = KINDS[slug]
        self.status_code = self.kind.status
        self.errors = errors or []
        self.headers: dict[str, str] = extra.pop("headers", {})
        self.extra = extra
        super().__init__(detail or self.kind.remedy, code=slug)


def problem_type(slug: str) -> str:
    return f"/v1/problems/{slug}"


def document(
    slug: str, detail: str, instance: str, errors: list[dict[str, str]], extra: dict[str, Any]
) -> dict[str, Any]:
    """The members in the order of RFC 9457, then ours. Extra facts never replace a member of the standard."""
    kind = KINDS[slug]
    told: dict[str, Any] = {
        "type": problem_type(slug),
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "instance": f"urn:uuid:{instance}",
    }
    if errors:
        told["errors"] = errors
    return {**extra, **told}
