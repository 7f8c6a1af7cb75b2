"""The sentences that say what is still missing. Each reads on after "Still missing:"."""

from collections.abc import Sequence

from registry.methods.facts import ClaimFact
from registry.sentences import Sentence, counted, inside, listed

_NUMBERS = (
    Sentence("one"),
    Sentence("two"),
    Sentence("three"),
    Sentence("four"),
    Sentence("five"),
    Sentence("six"),
    Sentence("seven"),
    Sentence("eight"),
    Sentence("nine"),
    Sentence("ten"),
    Sentence("eleven"),
    Sentence("twelve"),
)
_CAUSES = {
    "baseline": Sentence("baseline"),
    "running_change": Sentence("running change"),
    "parallel": Sentence("parallel"),
    "factory_error": Sentence("factory error"),
    "altered": Sentence("altered"),
    "camera_or_light": Sentence("camera or light"),
    "pre_production": Sentence("pre production"),
    "drift": Sentence("drift"),
    "not_known": Sentence("not known"),
}


def in_words(number: int) -> str:
    return _NUMBERS[number - 1] if 1 <= number <= len(_NUMBERS) else str(number)


def label(claim: ClaimFact, *, is_rival: bool = False) -> str:
    """What a claim is called inside a sentence; a rival and a cause name their state too."""
    if claim.is_cause:
        return Sentence("the cause being %(cause)s", cause=_cause(claim))
    trait = inside(claim.trait_name or claim.trait)
    return Sentence("%(trait)s as %(state)s", trait=trait, state=state_name(claim)) if is_rival else trait


def state_name(claim: ClaimFact) -> str:
    return inside(claim.state_name or claim.state)


def _cause(claim: ClaimFact) -> str:
    return _CAUSES.get(claim.state) or claim.state.replace("_", " ")


def more_votes(number: int, about: str, *, moderator: bool = False, owners: int = 0) -> Sentence:
    """`owners`: how many votes do if their voters name own photographed examples; 0 leaves it unsaid."""
    if moderator and number == 1:
        sentence = Sentence("a moderator's vote on %(about)s", about=about)
    else:
        sentence = counted(
            "%(number)s more vote on %(about)s",
            "%(number)s more votes on %(about)s",
            number,
            number=in_words(number),
            about=about,
        )
        if moderator:
            sentence = Sentence("%(votes)s, one of them a moderator's", votes=sentence)
    if not owners:
        return sentence
    return counted(
        "%(votes)s, or %(owners)s by owner with a photo of their own example",
        "%(votes)s, or %(owners)s by owners with a photo of their own example",
        owners,
        votes=sentence,
        owners=in_words(owners),
    )


def unnumbered(sentence: str) -> str:
    """The sentence without what it tells of the votes cast so far; any but one of `more_votes` as it is.

    >>> unnumbered(more_votes(2, "roof crest", owners=1))
    'more votes on roof crest'
    """
    if not isinstance(sentence, Sentence):
        return sentence
    if "votes" in sentence.given:
        return unnumbered(sentence.given["votes"])
    if sentence.one in ("a moderator's vote on %(about)s", "%(number)s more vote on %(about)s"):
        return Sentence("more votes on %(about)s", about=sentence.given["about"])
    return sentence


def a_mark(about: str) -> Sentence:
    return Sentence("a mark on a photo that shows %(about)s", about=about)


def the_seal_pictured(about: str) -> Sentence:
    return Sentence("a photo of the seal all round the sealed example that shows %(about)s", about=about)


def a_sealed_example(about: str, *, or_loose: int = 0) -> Sentence:
    sealed = Sentence("one more sealed example of %(about)s, its seal pictured all round", about=about)
    if not or_loose:
        return sealed
    return counted(
        "%(sealed)s, or %(number)s more loose example from other owners, rivets and axles pictured",
        "%(sealed)s, or %(number)s more loose examples from other owners, rivets and axles pictured",
        or_loose,
        sealed=sealed,
        number=in_words(or_loose),
    )


def dispute_to_end(about: str) -> Sentence:
    return Sentence("the dispute on %(about)s to end", about=about)


def to_be_corrected(claim: ClaimFact) -> Sentence:
    if claim.is_cause:
        return Sentence("another cause: the votes refute %(cause)s", cause=_cause(claim))
    about, state = label(claim), state_name(claim)
    return Sentence("%(about)s to be corrected: the votes refute %(state)s", about=about, state=state)


def to_be_confirmed(about: str) -> Sentence:
    return Sentence("%(about)s to be confirmed", about=about)


def a_difference() -> Sentence:
    return Sentence("a detail named as the difference")


def a_cause() -> Sentence:
    return Sentence("somebody to say why it differs")


def two_examples(about: str) -> Sentence:
    return Sentence("two independent examples of %(about)s", about=about)


def one_more_example(about: str) -> Sentence:
    return Sentence(
        "one more example of %(about)s, from another owner and another case, shop or month", about=about
    )


def all_on_one_example(abouts: Sequence[str]) -> Sentence:
    return Sentence("one of two independent examples to show %(details)s together", details=listed(abouts))


def accept_release() -> Sentence:
    return Sentence("a moderator to accept the proposed release")


def accept_detail(claim: ClaimFact) -> Sentence:
    return Sentence(
        "a moderator to accept the proposed %(about)s: %(state)s", about=label(claim), state=state_name(claim)
    )


def differ_from(title: str) -> Sentence:
    return Sentence("a detail that tells it from “%(title)s”, confirmed on both", title=title)


def confirmed_there_too(about: str, title: str) -> Sentence:
    return Sentence("%(about)s to be confirmed on “%(title)s” too", about=about, title=title)
