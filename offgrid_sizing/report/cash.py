"""Costs and cash flow of a workbook: prices in yellow cells, all the rest live formulas."""

from __future__ import annotations

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell as at

from offgrid_sizing.economics.cashflows import LINES
from offgrid_sizing.economics.costs import Box, replacements_by_year
from offgrid_sizing.economics.lifecycle import LifeCycle, as_of_words
from offgrid_sizing.printable import printable
from offgrid_sizing.report.cash_terms import boxes_instead, quoted, terms_of
from offgrid_sizing.report.sections.money import line_words
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Saying, said, to_words

YEARS = 61  # the longest horizon a sketch may have, and year 0
BOX_HEAD = ("item", "count", "each", "lasts", "price_change", "total")
SUMS_HEAD = (
    "system_total",
    "instead_total",
    "saved",
    "saved_worth",
    "saved_plain",
    "back_discounted",
    "back_simple",
)


class CashWriter:
    """Writes 'Costs', 'Replacements' and 'Cash flow', three sheets that refer to each other.

    Their names and words are in one language; formulas refer to them by those names.
    """

    def __init__(self, book, formats: dict, sketch: Sketch, life: LifeCycle, language: str):
        self.formats, self.sketch, self.life = formats, sketch, life
        self.language = language
        self.costs, self.in_costs = self._sheet(book, "costs")
        self.again, self.in_again = self._sheet(book, "replacements")
        self.flow, self.in_flow = self._sheet(book, "cash_flow")
        self.boxes = (*life.boxes, *boxes_instead(life))
        self.terms = terms_of(sketch, life)
        self.box_row = 4
        self.term_row = self.box_row + len(self.boxes) + 2
        self.result_row = self.term_row + len(self.terms) + 2

    def _sheet(self, book, key: str):
        """A sheet, and how a formula refers to it."""
        name = self.says(f"sheet_{key}")
        return book.add_worksheet(name), f"{name}!" if name.isidentifier() else f"'{name}'!"

    def says(self, key: str, **values: object) -> str:
        """A text of the workbook in its language."""
        return self.worded(said(f"workbook.{key}", **values))

    def worded(self, words: Saying | str) -> str:
        """Words in the workbook's language, fit to print."""
        return printable(to_words(words, self.language))

    def term(self, key: str) -> str:
        """Reference to a yellow cell, from any sheet."""
        index = next(i for i, term in enumerate(self.terms) if term.key == key)
        return self.in_costs + at(self.term_row + index, 1, row_abs=True, col_abs=True)

    def box(self, index: int, column: int) -> str:
        """Reference to a cell of the boxes' table, from any sheet."""
        return self.in_costs + at(self.box_row + index, column, row_abs=True, col_abs=True)

    def write(self) -> None:
        """All three sheets."""
        self._prices()
        self._replacements()
        self._flows()
        self._results()

    # ---- costs -------------------------------------------------------------------------------

    def _prices(self) -> None:
        sheet, formats = self.costs, self.formats
        sheet.set_column(0, 0, 44)
        sheet.set_column(1, 5, 16)
        title = self.says("costs_title", currency=self.life.currency)
        sheet.write_string(0, 0, title, formats["title"])
        note = self.says("costs_note", as_of=as_of_words(self.sketch.prices))
        sheet.write_string(1, 0, note, formats["note"])
        for column, head in enumerate(BOX_HEAD):
            words = self.says(f"col_{head}")
            sheet.write_string(self.box_row - 1, column, words, formats["head"])
        for index, box in enumerate(self.boxes):
            row = self.box_row + index
            sheet.write_string(row, 0, self.worded(box.words))
            values = (box.count, box.each, min(box.life_y, 1e6), box.price_change_frac)
            for column, value in enumerate(values, start=1):
                sheet.write_number(row, column, value, formats["change"])
            sheet.write_formula(row, 5, f"={at(row, 1)}*{at(row, 2)}", formats["money"], box.total)
        for index, term in enumerate(self.terms):
            row = self.term_row + index
            sheet.write_string(row, 0, self.worded(term.words))
            sheet.write_number(row, 1, term.value, formats["change"])

    # ---- replacements ------------------------------------------------------------------------

    def _replacements(self) -> None:
        """A column of replacement costs for each box, one row a year."""
        sheet, horizon = self.again, self.term("horizon")
        sheet.set_column(0, len(self.boxes), 18)
        sheet.write_string(0, 0, self.says("col_year"), self.formats["head"])
        for index, box in enumerate(self.boxes):
            sheet.write_string(0, index + 1, self.worded(box.words), self.formats["head"])
            total, life = self.box(index, 5), self.box(index, 3)
            change = self.box(index, 4)
            worth = self._replaced(box)
            for year in range(YEARS):
                sheet.write_number(year + 1, 0, year)
                y = at(year + 1, 0, col_abs=True)
                upper = f"ROUNDUP(MIN({y}+0.5,{horizon})/{life}-0.000000001,0)"
                lower = f"IF({y}<=1,1,ROUNDUP(({y}-0.5)/{life}-0.000000001,0))"
                formula = (
                    f"=IF(OR({y}=0,{y}>{horizon}),0,MAX({upper}-{lower},0)"
                    f"*{total}*(1+{change})^{y}*{self._labour(box)})"
                )
                sheet.write_formula(
                    year + 1, index + 1, formula, self.formats["money"], worth[year]
                )

    def _replaced(self, box: Box) -> np.ndarray:
        prices = self.sketch.prices
        years = np.arange(prices.horizon_y + 1, dtype=float)
        price = box.total * (1 + box.price_change_frac) ** years
        spent = replacements_by_year(box.life_y, prices.horizon_y) * price
        return self._padded(spent * (1 + prices.installation_frac * box.labour))

    def _labour(self, box: Box) -> str:
        """What labour makes of a price."""
        return f"(1+{self.term('labour')})" if box.labour else "1"

    def _padded(self, values: np.ndarray) -> np.ndarray:
        return np.concatenate([values, np.zeros(YEARS - len(values))])

    def _residual(self, indices) -> str:
        parts = []
        for index in indices:
            total, life, change = self.box(index, 5), self.box(index, 3), self.box(index, 4)
            horizon = self.term("horizon")
            span = f"{horizon}/{life}"
            left = f"MAX(ROUNDUP({span}-0.000000001,0)-{span},0)"
            parts.append(f"{left}*{total}*(1+{change})^{horizon}")
        return "+".join(parts)

    # ---- cash flow ---------------------------------------------------------------------------

    def _columns(self) -> list[tuple[str, str, np.ndarray]]:
        """Key, formula with {y} for the year's cell, and the tool's values, column by column."""
        t, life, own = self.term, self.life, len(self.life.boxes)
        here = life.flows.lines
        there = life.alternative.flows.lines if life.alternative else _nothing(life)
        rise = f"(1+{t('rise')})^{{y}}"
        total = f"SUM({self.box(0, 5)}:{self.box(own - 1, 5).split('!')[1]})"
        last = at(0, own, col_abs=True).rstrip("1")
        theirs = range(own, len(self.boxes))
        bought = "+".join(
            f"{self.box(index, 5)}*{self._labour(self.boxes[index])}" for index in theirs
        )
        again = "".join(
            f"+{self.in_again}{at(0, index + 1, col_abs=True).rstrip('1')}{{r}}" for index in theirs
        )

        def first(words):
            return f"IF({{y}}=0,{words},0)"

        def later(words):
            return f"IF(AND({{y}}>0,{{y}}<={t('horizon')}),{words},0)"

        def end(words):
            return f"IF({{y}}={t('horizon')},-({words}),0)"

        return [
            ("purchase", first(total), here["purchase"]),
            ("installation", first(f"{total}*{t('labour')}"), here["installation"]),
            ("replacements", f"SUM({self.in_again}$B{{r}}:{last}{{r}})", here["replacements"]),
            ("grid_energy", later(f"{t('grid_kwh')}*{t('grid_price')}*{rise}"),
             here["grid_energy"]),
            ("grid_fixed", later(f"12*{t('fixed')}"), here["grid_fixed"]),
            ("export_income", later(f"-{t('export_kwh')}*{t('export_price')}*{rise}"),
             here["export_income"]),
            ("fuel", later(f"{t('fuel_l')}*{t('fuel_price')}*{rise}"), here["fuel"]),
            ("generator_service", later(f"{t('hours')}/{t('interval')}*{t('service_each')}"),
             here["generator_service"]),
            ("service", later(t("service")), here["service"]),
            ("unserved", later(f"{t('unserved_kwh')}*{t('unserved_price')}"), here["unserved"]),
            ("residual", end(self._residual(range(own))), here["residual"]),
            ("instead_boxes", first(bought or "0") + again,
             there["purchase"] + there["installation"] + there["replacements"]),
            ("instead_energy",
             later(f"({t('other_kwh')}*{t('other_price')}+{t('other_fuel')}*{t('fuel_price')})"
                   f"*{rise}"),
             there["grid_energy"] + there["fuel"]),
            ("instead_fixed",
             later(f"12*{t('other_fixed')}+{t('other_hours')}/{t('interval')}*{t('service_each')}"),
             there["grid_fixed"] + there["generator_service"]),
            ("instead_unserved", later(f"{t('other_unserved')}*{t('unserved_price')}"),
             there["unserved"]),
            ("instead_residual", end(self._residual(theirs) or "0"), there["residual"]),
        ]  # fmt: skip

    def _line(self, key: str) -> str:
        return self.worded(line_words(key)) if key in LINES else self.says(f"col_{key}")

    def _flows(self) -> None:
        sheet, formats, life = self.flow, self.formats, self.life
        columns = self._columns()
        sheet.set_column(0, len(columns) + 9, 14)
        sheet.freeze_panes(1, 1)
        heads = [self.says("col_year"), self.says("col_worth")]
        heads += [self._line(key) for key, _, _ in columns]
        heads += [self.says(f"col_{key}") for key in SUMS_HEAD]
        for column, head in enumerate(heads):
            sheet.write_string(0, column, head, formats["head"])
        years = np.arange(YEARS)
        worth = (1 + life.rate) ** -years.astype(float)
        stored = [self._padded(values) for _, _, values in columns]
        for year in years:
            row = int(year) + 1
            y = at(row, 0, col_abs=True)
            sheet.write_number(row, 0, year)
            sheet.write_formula(
                row, 1, f"=(1+{self.term('rate')})^-{y}", formats["factor"], worth[year]
            )
            for index, (_, formula, _) in enumerate(columns):
                text = "=" + formula.format(y=y, r=row + 1)
                sheet.write_formula(row, index + 2, text, formats["money"], stored[index][year])
        self._sums(len(columns), stored, worth)

    def _sums(self, count: int, stored: list[np.ndarray], worth: np.ndarray) -> None:
        """Totals, running savings and the years in which they first turn positive."""
        ours, theirs = slice(0, 11), slice(11, count)
        totals = np.sum(stored[ours], axis=0), np.sum(stored[theirs], axis=0)
        saved = (totals[1] - stored[count - 1]) - (totals[0] - stored[10])
        running = (np.cumsum(saved * worth), np.cumsum(saved))
        first, residual = 2, 12
        own, other, save = count + 2, count + 3, count + 4
        for year in range(YEARS):
            row = year + 1
            ours_sum = f"=SUM({at(row, first)}:{at(row, residual)})"
            theirs_sum = f"=SUM({at(row, residual + 1)}:{at(row, count + 1)})"
            without = (
                f"=({at(row, other)}-{at(row, count + 1)})-({at(row, own)}-{at(row, residual)})"
            )
            money = self.formats["money"]
            self.flow.write_formula(row, own, ours_sum, money, totals[0][year])
            self.flow.write_formula(row, other, theirs_sum, money, totals[1][year])
            self.flow.write_formula(row, save, without, money, saved[year])
            for offset, factor in ((1, f"*{at(row, 1)}"), (2, "")):
                column = save + offset
                before = f"{at(row - 1, column)}+" if year else ""
                self.flow.write_formula(
                    row,
                    column,
                    f"={before}{at(row, save)}{factor}",
                    money,
                    running[offset - 1][year],
                )
                self._crossing(row, column, running[offset - 1], year)

    def _crossing(self, row: int, column: int, running: np.ndarray, year: int) -> None:
        """The year within which a running sum first reaches zero, else 1000."""
        now, before = at(row, column), at(row - 1, column)
        inside = f"{at(row, 0)}<={self.term('horizon')}"
        value = 1000.0
        if year == 0:
            formula = f"=IF({now}>=0,0,1000)"
            value = 0.0 if running[0] >= 0 else value
        else:
            step = f"{at(row, 0)}-1-{before}/({now}-{before})"
            formula = f"=IF(AND({inside},{now}>=0,{before}<0),{step},1000)"
            if running[year] >= 0 > running[year - 1] and year <= self.life.horizon_y:
                value = year - 1 - running[year - 1] / (running[year] - running[year - 1])
        self.flow.write_formula(row, column + 2, formula, self.formats["money"], value)

    # ---- results -----------------------------------------------------------------------------

    def _results(self) -> None:
        sheet, life, own = self.costs, self.life, len(self.life.boxes)
        last = YEARS

        def column(index: int) -> str:
            return f"{self.in_flow}{at(1, index, True, True)}:{at(last, index, True, True)}"

        def years_or_never(index: int) -> str:
            first = f"MIN({column(index)})"
            return f"=IF({first}<1000,{first},{quoted(never)})"

        def or_never(value: float | None) -> float | str:
            return never if value is None else value

        def compared(formula: str, value):
            nothing = self.says("uncompared")
            return (
                (f"={quoted(nothing)}", nothing) if life.alternative is None else (formula, value)
            )

        never, unserved = self.says("never"), self.says("none_served")

        count = len(self._columns())
        rate, horizon = self.term("rate"), self.term("horizon")
        row = self.result_row
        box_sum = f"SUM({at(self.box_row, 5)}:{at(self.box_row + own - 1, 5)})"
        upv = f"IF({rate}=0,{horizon},(1-(1+{rate})^-{horizon})/{rate})"
        present, instead = at(row + 2, 1), at(row + 3, 1)
        other = life.alternative
        lines = [
            ("first", f"={box_sum}*(1+{self.term('labour')})", life.first.total),
            ("life_cycle", f"=SUMPRODUCT({column(1)},{column(count + 2)})", life.present),
            ("life_cycle_other",
             *compared(f"=SUMPRODUCT({column(1)},{column(count + 3)})",
                       other and other.present)),
            ("net_present",
             *compared(f"={instead}-{present}", life.net_saving)),
            ("annual", f"={present}/{upv}", life.equivalent_annual),
            ("lcoe",
             f"=IF({self.term('served')}>0,{present}/({self.term('served')}*{upv}),"
             f"{quoted(unserved)})",
             unserved if life.lcoe_per_kwh is None else life.lcoe_per_kwh),
            ("simple",
             *compared(years_or_never(count + 8), or_never(life.simple_payback_y))),
            ("discounted",
             *compared(years_or_never(count + 7), or_never(life.discounted_payback_y))),
        ]  # fmt: skip
        sheet.write_string(row, 0, self.says("results"), self.formats["heading"])
        for index, (key, formula, value) in enumerate(lines, start=1):
            sheet.write_string(row + index, 0, self.says(f"result_{key}"))
            sheet.write_formula(row + index, 1, formula, self.formats["money_bold"], value)
        held = said("workbook.instead_held", other=life.compared.words)
        notes: tuple[Saying | str, ...] = (held, *life.assumptions)
        for index, line in enumerate(notes):
            place = row + len(lines) + 2 + index
            sheet.write_string(place, 0, self.worded(line), self.formats["note"])


def _nothing(life: LifeCycle) -> dict[str, np.ndarray]:
    return {name: np.zeros(life.horizon_y + 1) for name in life.flows.lines}


def write_cash(book, formats: dict, sketch: Sketch, life: LifeCycle, language: str) -> None:
    """Add the money sheets to a workbook."""
    CashWriter(book, formats, sketch, life, language).write()
