"""How far a word that somebody typed is from one that is written down, counted in slips of the hand."""

from __future__ import annotations

import re

SHORTEST = 4  # letters: of a shorter word one slip leaves too little
LONG = 9  # letters from which two slips are allowed


def slips_allowed(word: str) -> int:
    """None in what is short or holds digits or signs, such as a number; one in a word; two in a long one.

    >>> slips_allowed("gul"), slips_allowed("gannet"), slips_allowed("brinewagon"), slips_allowed("q64011")
    (0, 1, 2, 0)
    """
    if len(word) < SHORTEST or not word.isalpha():
        return 0
    return 1 if len(word) < LONG else 2


def slips(typed: str, written: str) -> int | None:
    """The fewest letters left out, put in, mistaken or swapped with their neighbour, that lead from the beginning of
    the written word to the typed one; None where those are more than are allowed.

    Source: optimal string alignment distance (Damerau 1964, CACM 7, 171-176), as rapidfuzz computes it.

    >>> slips("gannte", "gannet"), slips("brinwagn", "brinewagon"), slips("gannet", "gangway")
    (1, None, None)
    >>> slips("brinew", "brinewagon"), slips("brnew", "brinewagon")
    (0, 1)
    """
    from rapidfuzz.distance import OSA

    allowed = slips_allowed(typed)
    ends = range(max(1, len(typed) - allowed), len(typed) + allowed + 1)
    fewest = min(OSA.distance(typed, written[:end], score_cutoff=allowed) for end in ends)
    return fewest if fewest <= allowed else None


def pieces(word: str) -> list[str]:
    """Parts of at least three letters of which one is still whole after the slips allowed, but for a swap in the very
    middle of a short word. Looking for any of them finds all words that may be meant, and few others.

    >>> pieces("gannet"), pieces("gulls"), pieces("brinewagon")
    (['gan', 'net'], ['gul', 'ull', 'lls'], ['bri', 'new', 'agon'])
    """
    n = len(word)
    if n < 6:
        return [word[at : at + 3] for at in range(n - 2)]
    if n < LONG:
        side = max(3, (n - 1) // 2)
        return [word[:side], word[-side:]]
    third = n // 3
    return [word[:third], word[third : 2 * third], word[2 * third :]]


_PACKS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PACK = re.compile(rf"(?<!\w)([2-9]|10|{'|'.join(_PACKS)})(?:er)?[\s-]*packs?(?!\w)")


def with_packs_spelled(text: str) -> str:
    """Lower-case text with each pack of so many as a word of its own, the figure spelled out.

    >>> with_packs_spelled("dock 2 pack"), with_packs_spelled("3er-pack"), with_packs_spelled("12-pack")
    ('dock two-pack', 'three-pack', '12-pack')
    """
    return _PACK.sub(lambda found: f"{_spelled(found[1])}-pack", text)


def _spelled(count: str) -> str:
    return _PACKS[int(count) - 2] if count.isdigit() else count


def number_keys(text: str) -> list[str]:
    """What a release number or case code in lower case is looked up by: its letters and digits alone, and these
    without leading zeros. Each begins with a sign that no word of an index begins with.

    None without a digit, or where there is too little to go by.

    >>> number_keys("q64-011"), number_keys("q64 11"), number_keys("Kelp"), number_keys("7")
    (['#q64011', '#q6411'], ['#q6411'], [], [])
    """
    groups = re.findall(r"[^\W_]+", text)
    lean = [re.sub(r"(?<!\d)0+(?=\d)", "", group) for group in groups]
    keys = dict.fromkeys(("".join(groups), "".join(lean)))
    return [f"#{key}" for key in keys if len(key) > 2 and re.search(r"\d", key)]
