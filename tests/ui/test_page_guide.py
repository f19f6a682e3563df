"""The guide's page: its parts and chapters, its pictures described, its language said."""

import pytest
from streamlit.testing.v1 import AppTest

from offgrid_sizing import guide


def _html(test: AppTest) -> str:
    return " ".join(
        element.proto.body for element in test.get("html") if hasattr(element.proto, "body")
    )


@pytest.mark.parametrize("part", guide.PARTS)
def test_every_part_can_be_read_from_its_first_chapter(page, part, no_trouble):
    test = page("guide")
    test.session_state["guide_section"] = part
    test.run()
    no_trouble(test)
    first = guide.chapters_of(part)[0]
    assert [one.value for one in test.header] == [first.title]
    assert [block for block in first.blocks if isinstance(block, str)] == [
        one.value for one in test.markdown if one.value in first.blocks
    ]


def test_equations_keep_their_lines_and_tables_scroll_by_keyboard(page, no_trouble):
    test = page("guide")
    test.session_state["guide_section"] = "theory"
    test.run()
    titles = [chapter.title for chapter in guide.chapters_of("theory")]
    chosen = test.selectbox(key="guide_chapter_theory")
    chosen.select_index(titles.index("Cell temperature and module power")).run()
    no_trouble(test)
    assert test.code[0].value.startswith("Tm = Ta + G·exp(a + b·v)\n")
    assert 'tabindex="0" aria-label="Cell temperature and module power"' in _html(test)
    assert "<td>−3.56</td>" in _html(test)


def test_a_chapter_is_chosen_by_its_title(page, no_trouble):
    test = page("guide")
    titles = [chapter.title for chapter in guide.chapters_of("tour")]
    assert test.selectbox(key="guide_chapter_tour").options == titles
    test.selectbox(key="guide_chapter_tour").select_index(2).run()
    no_trouble(test)
    assert [one.value for one in test.header] == ["How large"]
    picture = next(b for b in guide.chapters_of("tour")[2].blocks if not isinstance(b, str))
    assert f'alt="{picture.words}"' in _html(test)


def test_the_spanish_screen_says_that_the_guide_is_english(page, no_trouble):
    test = page("guide", None, lang="es")
    no_trouble(test)
    assert "La guía está escrita en inglés." in [one.value for one in test.caption]
    assert "The guide is written in English." not in [one.value for one in page("guide").caption]
