"""Names as people type them: folded to plain letters, and slips counted."""

import re
import unicodedata

_UNDECOMPOSED = str.maketrans(
    {
        "ß": "ss",
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ð": "d",
        "þ": "th",
        "æ": "ae",
        "œ": "oe",
        "ı": "i",
        "ħ": "h",
        "ŧ": "t",
        "ə": "a",
    }
)
_APOSTROPHES = dict.fromkeys(map(ord, "'’ʼʻ`´ʿ"))


def unaccented(text: str) -> str:
    """Lower case without accents, for comparing what was typed; marks and spaces stay."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_UNDECOMPOSED))
    return plain.translate({ord(c): None for c in set(plain) if unicodedata.combining(c)})


def folded(text: str) -> str:
    """Lower case without accents, hyphens and apostrophes: what a hurried hand types.

    Line ends stay, so that a whole list is folded in one go.
    """
    spaced = re.sub(r"[^\w\n]+", " ", unaccented(text).translate(_APOSTROPHES))
    return re.sub(r" ?\n ?", "\n", spaced).strip(" ")


def edits_to_beginning(query: str, key: str, limit: int) -> int:
    """Fewest slips (one letter more, less, other, or two swapped) from query to a start of key."""
    key = key[: len(query) + limit]
    before: list[int] = []
    last = list(range(len(key) + 1))
    for i, typed in enumerate(query, start=1):
        now = [i]
        for j, letter in enumerate(key, start=1):
            best = min(last[j] + 1, now[j - 1] + 1, last[j - 1] + (typed != letter))
            if i > 1 and j > 1 and typed == key[j - 2] and query[i - 2] == letter:
                best = min(best, before[j - 2] + 1)
            now.append(best)
        if min(now) > limit:
            return limit + 1
        before, last = last, now
    return min(last)
