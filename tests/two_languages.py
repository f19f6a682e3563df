"""A sentence of the engine in both languages: what it quotes is the reader's, the rest Spanish."""

import re

from offgrid_sizing.words import Figure, Said, Sentence, Together, Treated, to_words

# Words no Spanish sentence holds ("a", "no" and "has" are Spanish too).
ENGLISH = re.compile(
    r"\b(the|is|are|was|were|have|of|and|or|to|an|not|from|with|by|it|its|this|that|than|too|many|"
    r"at|in|on|as|be|one|must|got|read|reading|readings|file|column|choose|line|year|years)\b",
    re.IGNORECASE,
)
# What services, parsers and the operating system say of themselves, and names of stations.
FOREIGN = re.compile(r"reasons?|place|name|file|service|form")


def _quoted(one) -> list[tuple[str, str]]:
    """Plain texts within a saying, with the name each is put in by."""
    if isinstance(one, Sentence):
        return _quoted(one.origin)
    if isinstance(one, Treated):
        return _quoted(one.one)
    if isinstance(one, Together):
        return [pair for part in one.parts for pair in _quoted(part)]
    if isinstance(one, tuple):
        return [pair for part in one for pair in _quoted(part)]
    if isinstance(one, Said):
        return [
            pair
            for name, value in one.values
            for pair in ([(name, value)] if type(value) is str else _named(name, value))
        ]
    return []


def _named(name: str, value) -> list[tuple[str, str]]:
    if isinstance(value, tuple):
        return [(name, part) for part in value if type(part) is str] + _quoted(value)
    return [] if isinstance(value, Figure) else _quoted(value)


def assert_both_languages(sentences, given: str | bytes = "") -> None:
    """English as it was, and Spanish with no English but what was quoted from `given`."""
    text = given.decode("utf-8", "replace") if isinstance(given, bytes) else given
    assert sentences
    for said in sentences:
        assert isinstance(said, Sentence), said
        assert to_words(said, "en") == said
        spanish = to_words(said, "es")
        assert spanish != said
        for name, quote in sorted(_quoted(said), key=lambda pair: -len(pair[1])):
            # a text in English may only come from the reader or from outside
            assert not ENGLISH.search(quote) or quote in text or FOREIGN.fullmatch(name), quote
            spanish = spanish.replace(quote, "…") if quote.strip() else spanish
        assert not english_in(spanish), spanish


def english_in(spanish: str) -> str:
    """What is left of English in a Spanish text, or nothing."""
    # names of columns and options are the same in every language
    left = re.sub(r"\w+[_.]\w[\w.]*|\w+=\w*…?|'[^']*'|\bbegin, end\b|\bauto\b", "…", spanish)
    found = ENGLISH.search(left)
    return found[0] if found else ""
