"""Money: what it costs over the years, when it repays, what moves it, when the bank is replaced."""

import streamlit as st

from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import (
    boards,
    money_ageing,
    money_instead,
    money_moves,
    money_paid,
    money_prices,
    money_what,
    weather_years,
)
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits, money

SECTIONS = {
    "paid": money_paid.draw,
    "what": money_what.draw,
    "moves": money_moves.draw,
    "ageing": money_ageing.draw,
}


def draw() -> None:
    """Life-cycle cost of the drawn system in its judged year."""
    sketch = state.sketch()
    st.title(t("money.title"))
    found = layout.attempt(lambda: answers.outcome(sketch))
    outcome = found.value if found else None
    if outcome is not None:
        with found.dimmed():
            layout.answer(_sentence(outcome.life_cycle))
            boards.of_the_year(outcome.simulation)
            st.caption(money_instead.compared(outcome.life_cycle))
            st.caption(t("money.of_year", year=weather_years.judged_named(outcome.simulation)))
            for sentence in outcome.life_cycle.unlike:
                st.warning(plain(sentence), icon=":material/balance:")
    section = layout.sections("money", tuple(SECTIONS))
    picture, controls = layout.beside("money")
    with picture:
        if outcome is not None:
            with found.dimmed():
                SECTIONS[section](sketch, outcome)
    with controls:
        money_prices.draw(sketch)
    steps.onward("money")
    cautions.foot()


def _sentence(life) -> str:
    reader, other = state.reader(), life.alternative
    values = {
        "first": money(life.first.total, reader),
        "years": life.horizon_y,
        "yearly": money(life.equivalent_annual, reader),
    }
    if other is None:
        return t("money.answer_uncompared", **values)
    values |= {"than": money_instead.words(other), "saving": money(abs(life.net_saving), reader)}
    if life.discounted_payback_y is not None:
        return t("money.answer_repaid", after=digits(life.discounted_payback_y, reader), **values)
    if other.kind == "nothing":
        return t("money.answer_alone", **values)
    return t("money.answer_dearer" if life.net_saving < 0 else "money.answer_cheaper", **values)
