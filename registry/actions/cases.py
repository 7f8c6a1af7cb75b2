"""What a case of an assortment holds, variant by variant, where a source says so."""

from __future__ import annotations

from datetime import datetime

from registry.errors import IdentityMoved, InvalidField
from registry.models import Assortment, CaseContent, JournalEntry, Member, Role, Variant
from registry.sentences import Sentence

from . import wording
from .admission import require
from .journalled import journalled


@journalled
def say_case_content(
    *, assortment: Assortment, variant: Variant, per_case: int, source: str, by: Member, at: datetime
) -> CaseContent:
    """Note how many of a variant one case holds; said again, the newer word stands.

    Errors: RoleRequired; IdentityMoved for a variant that is gone; InvalidField where the assortment does not ship its
    release, or where a case would hold more of the release than the assortment says.
    """
    require(by, Role.MODERATOR)
    if variant.is_gone:
        raise IdentityMoved(field="variant")
    item = assortment.items.filter(release=variant.release_id).first()
    if item is None:
        raise InvalidField(
            "variant",
            variant.public_id,
            Sentence(
                "%(assortment)s does not ship %(release)s.", assortment=assortment, release=variant.release
            ),
        )
    per_case = wording.whole("per_case", per_case, 1, 1000)
    others = assortment.case_contents.filter(variant__release=variant.release_id).exclude(variant=variant)
    told = per_case + sum(others.values_list("per_case", flat=True))
    if item.per_case is not None and told > item.per_case:
        remedy = Sentence(
            "A case holds %(per_case)s of %(release)s; with the others that would be %(told)s.",
            per_case=item.per_case,
            release=variant.release,
            told=told,
        )
        raise InvalidField("per_case", per_case, remedy)
    said = {"per_case": per_case, "source": wording.line("source", source, 200)}
    content, _ = CaseContent.objects.update_or_create(assortment=assortment, variant=variant, defaults=said)
    detail = {"variant": variant.public_id, "per_case": per_case}
    JournalEntry.objects.record(by=by, verb="case.told", about=assortment, at=at, detail=detail)
    return content
