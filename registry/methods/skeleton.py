"""What a name looks like, whatever letters it is written with: two names of one skeleton can be mistaken.

After the idea of the skeleton in Unicode Technical Standard 39, section 4, with a small table of our own: capitals,
figures and look-alikes of the Latin, Greek and Cyrillic alphabets that stand in names in practice. Marks on letters
are dropped, so that `é` looks like `e`. Facts about letters, chosen by eye; not the standard's data file.
"""

import unicodedata

_ALIKE = {
    # Cyrillic, small letters (capitals are folded to them first)
    "а": "a", "в": "b", "с": "c", "ԁ": "d", "е": "e", "ё": "e", "г": "r", "һ": "h", "н": "h", "і": "i", "ї": "i",
    "ј": "j", "к": "k", "ӏ": "l", "м": "m", "п": "n", "о": "o", "р": "p", "ԛ": "q", "ѕ": "s", "т": "t", "ц": "u",
    "ѵ": "v", "ԝ": "w", "ш": "w", "х": "x", "у": "y", "ү": "y", "з": "3", "ь": "b", "б": "6", "ч": "4",
    # Greek
    "α": "a", "β": "b", "ε": "e", "η": "n", "ι": "i", "κ": "k", "μ": "u", "ν": "v", "ο": "o", "ρ": "p", "σ": "o",
    "ς": "c", "τ": "t", "υ": "u", "χ": "x", "γ": "y", "ω": "w", "ϲ": "c", "ϳ": "j", "ζ": "z",
    # Latin letters and figures that pass for others
    "ı": "i", "ȷ": "j", "ɑ": "a", "ɡ": "g", "ɩ": "i", "ʟ": "l", "ø": "o", "đ": "d", "ł": "l", "ħ": "h", "ŧ": "t",
    "ß": "b", "þ": "p", "æ": "ae", "œ": "oe", "ᴏ": "o", "ѡ": "w", "0": "o", "1": "l", "|": "l",
}  # fmt: skip
_RUNS = (("rn", "m"), ("vv", "w"))
_L = {"i": "l"}
"""A capital i, a small l and the figure 1 are one stroke in many typefaces."""
_BY_CAPITALS = {"в": "b", "н": "h", "η": "h", "ν": "n", "υ": "y", "μ": "m", "ρ": "p", "γ": "y", "σ": "o"}
"""Small letters whose capital looks like another Latin letter than they do themselves."""


def skeleton(name: str) -> str:
    """What is left of a name to the eye: small letters without marks, spaces and dashes gone.

    Units: none. Errors: none; a name of symbols alone has itself as its skeleton.
    """
    plain = unicodedata.normalize("NFKD", name)
    shown = "".join(_look(symbol) for symbol in plain if not unicodedata.category(symbol).startswith("M"))
    for run, one in _RUNS:
        shown = shown.replace(run, one)
    shown = "".join(_L.get(symbol, symbol) for symbol in shown)
    bare = "".join(symbol for symbol in shown if symbol.isalnum())
    return bare or "".join(plain.split())


def _look(symbol: str) -> str:
    small = symbol.casefold()
    if small != symbol and small in _BY_CAPITALS:
        return _BY_CAPITALS[small]
    return "".join(_ALIKE.get(one, one) for one in small)
