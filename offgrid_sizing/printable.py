"""Text that any medium can hold: what only steers a terminal, a page or a file is left out."""

import unicodedata


def printable(text: str) -> str:
    """Text without control characters, each made a space; spaces of any width stay.

    Escape sequences, line ends, marks that turn the direction of writing and halves of letters
    mean something to terminals, tables, XML or paper. Nobody types them into a name.
    """
    return "".join(c if c.isprintable() or _sets_words(c) else " " for c in str(text))


def _sets_words(character: str) -> bool:
    return character in "\u200c\u200d" or unicodedata.category(character) == "Zs"
