"""Text of files that people drop here, whichever program wrote them: one guess at its encoding.

UTF-8 and UTF-16, with or without their mark, are told by their bytes; what is neither is taken for
Windows-1252, the usual code of Western spreadsheets, which holds all printable Latin-1 as well.
"""

WESTERN = "cp1252"
SAMPLE_BYTES = 65536
_LONGEST_LETTER = 4  # bytes of UTF-8 that a cut may part


def encoding_of(head: bytes) -> str:
    """Name of the encoding of a text that begins so; the last letter may be cut in two.

    Returns
    -------
    str
        "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-8" or "cp1252".
    """
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    if head.startswith(b"\xef\xbb\xbf"):
        return "utf-8-sig"
    even, odd = head[0::2].count(0), head[1::2].count(0)
    if max(even, odd) > 0.4 * len(head) / 2 and min(even, odd) < 0.05 * len(head):
        return "utf-16-be" if even > odd else "utf-16-le"
    try:
        head.decode("utf-8")
    except UnicodeDecodeError as fault:
        cut = fault.reason == "unexpected end of data" and len(head) - fault.start < _LONGEST_LETTER
        return "utf-8" if cut and len(head) >= SAMPLE_BYTES else WESTERN
    return "utf-8"


def decoded(content: bytes) -> str:
    """The whole text, letters that its encoding lacks marked by U+FFFD."""
    text = content.decode(encoding_of(content), errors="replace")
    return text.removeprefix("\ufeff")
