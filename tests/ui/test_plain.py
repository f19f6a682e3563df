"""What a person typed is shown as typed: read back by a CommonMark reader it is the same text."""

from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.ui.plain import chart_text, plain

MARKS = st.text(st.sampled_from("ab1 <>&*_`[]()!#+-.|~$:\\{}=^@/\"'"), max_size=40)


def unescaped(text: str) -> str:
    """Backslash escapes of ASCII punctuation taken back (CommonMark 0.31, section 2.4)."""
    out, rest = [], iter(text)
    for character in rest:
        out.append(next(rest) if character == "\\" else character)
    return "".join(out).replace("\u2060", "")


@given(MARKS)
def test_only_escapes_are_added(text):
    shown = plain(text)
    if "\\" in shown:
        assert unescaped(shown) == " ".join(text.split())
    else:
        assert shown == " ".join(text.split())


@given(MARKS)
def test_no_mark_stands_unescaped(text):
    shown = plain(text)
    position = 0
    while position < len(shown):
        if shown[position] == "\\":
            position += 2
            continue
        assert shown[position] not in "<>&*_`[]()!#|~$\\{}=^@"
        position += 1


def test_shortcodes_lists_and_addresses_do_not_form():
    assert ":\u2060material" in plain(":material/home:").replace("\\", "")
    assert plain("1. first") == "1\\. first"
    assert plain("- item") == "\\- item"
    for address in ("www.example.org", "http://example.org", "a@example.org", "WWW.example.org"):
        assert "\u2060" in plain(address)
    assert plain("12.5 kWh, 30 % of 40 m²") == "12.5 kWh, 30 % of 40 m²"
    assert plain("two\n\nparagraphs") == "two paragraphs"


def test_chart_text_shows_tags():
    assert chart_text("<b>x</b> & y") == "&lt;b&gt;x&lt;/b&gt; &amp; y"
