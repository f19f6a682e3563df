"""What every test of a translated sentence asks: nothing of the English is left in it."""

import re

from offgrid_sizing.words import to_words

# Little words no English sentence of this program does without, and no Spanish one has.
_ENGLISH = re.compile(
    r"\b(?:the|must|be|is|are|was|were|not|and|or|of|to|with|it|its|this|that|these|from|by|for|in"
    r"|on|at|than|then|where|when|which|cannot|has|have|holds|names|file|folder|there"
    r"|choose|write|read|line|column|below|above|both|each|another|again|nothing|what)\b",
    re.IGNORECASE,
)


def in_spanish(one: str, *quoted: str) -> str:
    """The Spanish words of what the engine says, held to be all Spanish.

    `quoted`: what both languages quote, such as a name or what a database said itself.
    """
    spanish = to_words(one, "es")
    assert spanish != one, one
    bare = spanish
    for text in quoted:
        assert text in bare, (text, spanish)
        bare = bare.replace(text, " ")
    bare = re.sub(r"--\w+", " ", bare)
    bare = re.sub(r"[\w./\[\]-]*[._/\[][\w./\[\]-]*", " ", bare)  # paths of fields and files
    bare = re.sub(r"'[^']*'|«[^»]*»|\"[^\"]*\"|“[^”]*”", " ", bare)
    left = _ENGLISH.findall(bare)
    assert not left, (left, spanish)
    assert "{" not in bare, spanish
    return spanish
