"""Loads: any sketch in every section; catalogue, household, paste, hours, meter."""

import pytest
from shown_kit import said

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.catalogue import appliance_from
from offgrid_sizing.sketch import Appliance, Drawn, Loads, MeteredLoad, Sketch, TimeWindow
from offgrid_sizing.ui.pages.loads import SECTIONS
from offgrid_sizing.ui.words import t_raw


def section(test, name: str):
    test.session_state["loads_section"] = name
    return test.run()


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


@pytest.mark.parametrize("name", SECTIONS)
def test_every_section_bears_any_sketch(page, any_sketch, name, no_trouble):
    no_trouble(section(page("loads", any_sketch), name))


def test_a_household_fills_an_empty_home_in_one_click(page, no_trouble):
    test = page("loads", Sketch(site=demo().site))
    test.selectbox(key="loads_preset").set_value("family_home").run()
    test.button(key="loads_use_preset").click().run()
    no_trouble(test)
    assert len(sketch_of(test).loads.appliances) > 8
    assert test.get("plotly_chart")


def test_an_empty_cell_is_not_called_none(page):
    """A refrigerator has no run time to type: its cell must not read as a Python value."""
    table = page("loads").data_editor[0]
    assert table.value["run_time_h"].isna().any()
    assert table.proto.placeholder == "–"


def test_appliances_come_from_the_catalogue(page, no_trouble):
    test = page("loads")
    before = len(sketch_of(test).loads.appliances)
    key = next(box.key for box in test.multiselect if box.key.startswith("loads_kinds_"))
    test.multiselect(key=key).set_value(["kettle", "toaster"]).run()
    test.button(key="loads_add").click().run()
    no_trouble(test)
    names = [one.kind for one in sketch_of(test).loads.appliances]
    assert names[before:] == ["kettle", "toaster"]
    assert test.multiselect(key=key).value == []


def pasted(page, rows: str):
    """The page with these rows typed and read back."""
    return page("loads").text_area(key="loads_pasted").set_value(rows).run()


def markdown_of(test) -> str:
    told = "\n".join(one.value for one in test.markdown)
    return told.replace("\u2009", " ").replace("\u00a0", " ")


def test_pasted_rows_are_read_back_taken_and_faulty_ones_named(page, no_trouble):
    test = pasted(page, "Well pump\t1\t750\t06–09, 1 h\nLamp\ttwo\t9\t18–22\n")
    before = len(sketch_of(test).loads.appliances)
    assert "**Well pump**: 1 × 750 W, 06–09, 1 h in total; 0.75 kWh" in markdown_of(test)
    assert "Read as: Deep-well pump" in markdown_of(test)
    assert "row 2" in test.error[0].value
    test.button(key="loads_take_rows").click().run()
    no_trouble(test)
    new = sketch_of(test).loads.appliances[before:]
    assert [(one.name, one.kind, one.run_time_h) for one in new] == [("Well pump", "well_pump", 1)]
    assert test.text_area(key="loads_pasted").value.strip() == "Lamp\ttwo\t9\t18–22"
    assert "Well pump" not in markdown_of(test)  # pressed again, nothing enters twice


def test_the_example_of_the_field_gives_what_it_says(page, no_trouble):
    test = page("loads")
    test.text_area(key="loads_pasted").set_value(t_raw("loads.table.paste_example")).run()
    assert "**Pump**: 1 × 750 W, 06–09, 1 h in total; 0.75 kWh" in markdown_of(test)
    assert test.button(key="loads_take_rows").disabled
    asked = next(one for one in test.selectbox if one.key.startswith("loads_pasted_kind_"))
    asked.set_value("well_pump").run()
    test.button(key="loads_take_rows").click().run()
    no_trouble(test)
    pump = sketch_of(test).loads.appliances[-1]
    assert (pump.name, pump.running_w, pump.run_time_h) == ("Pump", 750, 1)
    assert (pump.starting_multiple, pump.power_factor) == (4, 0.8)
    assert test.text_area(key="loads_pasted").value == ""


def test_rows_pressed_in_the_moment_they_were_typed_are_read_back_first(page, no_trouble):
    test = page("loads")
    before = len(sketch_of(test).loads.appliances)
    test.text_area(key="loads_pasted").set_value("TV\t1\t80\t18–22")
    test.button(key="loads_take_rows").click().run()
    assert len(sketch_of(test).loads.appliances) == before
    assert "**TV**" in markdown_of(test)
    test.button(key="loads_take_rows").click().run()
    no_trouble(test)
    assert sketch_of(test).loads.appliances[-1].name == "TV"


def test_what_has_no_motor_is_said_by_the_reader(page, no_trouble):
    test = pasted(page, "Gadget;2;100;3")
    asked = next(one for one in test.selectbox if one.key.startswith("loads_pasted_kind_"))
    asked.set_value("steady").run()
    test.button(key="loads_take_rows").click().run()
    no_trouble(test)
    one = sketch_of(test).loads.appliances[-1]
    assert (one.kind, one.duty_frac, one.starting_multiple, one.power_factor) == (None, 1, 1, 1)


def test_typed_hours_are_not_cut_by_the_catalogues_habit(page, no_trouble):
    """A fan of 60 W for 6 h is 0.36 kWh on each of 365 days, whatever the weather."""
    fan = appliance_from("ceiling_fan", running_w=60.0)
    test = section(page("loads", Sketch(site=demo().site, loads=Loads(appliances=(fan,)))), "hours")
    test.text_input(key="loads_windows_0").set_value("12–18").run()
    no_trouble(test)
    one = sketch_of(test).loads.appliances[0]
    assert (one.driver, all(one.days), len(one.months)) == ("none", True, 12)
    said = next(one.value for one in test.caption if "a year" in one.value)
    assert "these hours make 131 kWh a year" in said
    test.button(key="loads_use_habit").click().run()
    assert sketch_of(test).loads.appliances[0].driver == "cooling"


def test_hours_in_words_become_windows(page):
    test = section(page("loads"), "hours")
    test.text_input(key="loads_windows_0").set_value("06–09 and 17–22, 3 h in total").run()
    one = sketch_of(test).loads.appliances[0]
    assert [(w.from_h, w.to_h) for w in one.windows] == [(6, 9), (17, 22)]
    assert one.run_time_h == 3


def test_hours_that_make_no_sense_are_refused_and_stay_typed(page, no_trouble):
    test = section(page("loads"), "hours")
    test.text_input(key="loads_windows_0").set_value("whenever").run()
    no_trouble(test)
    assert sketch_of(test) == demo()
    assert len(test.error) == 1
    assert test.text_input(key="loads_windows_0").value == "whenever"


def test_painting_hours_replaces_windows(page, no_trouble):
    test = section(page("loads"), "hours")
    test.slider(key="loads_paint").set_value((0, 24)).run()
    test.button(key="loads_paint_off").click().run()
    test.slider(key="loads_paint").set_value((20, 22)).run()
    test.button(key="loads_paint_half").click().run()
    no_trouble(test)
    one = sketch_of(test).loads.appliances[0]
    assert one.windows == ()
    assert one.hours[20:22] == (0.5, 0.5)
    assert sum(one.hours) == 1.0


def test_an_appliance_is_copied_moved_and_deleted(page):
    test = section(page("loads"), "hours")
    names = [one.name for one in sketch_of(test).loads.appliances]
    test.button(key="loads_twice").click().run()
    assert sketch_of(test).loads.appliances[1].name == f"{names[0]} 2"
    test.button(key="loads_down").click().run()
    assert sketch_of(test).loads.appliances[0].name == f"{names[0]} 2"
    test.button(key="loads_away").click().run()
    assert len(sketch_of(test).loads.appliances) == len(names)


def test_deleting_the_last_appliance_leaves_the_page_usable(page, no_trouble):
    base = demo()
    loads = base.loads.model_copy(update={"appliances": base.loads.appliances[:1]})
    test = section(page("loads", base.model_copy(update={"loads": loads})), "hours")
    test.button(key="loads_away").click().run()
    no_trouble(test)
    assert sketch_of(test).loads.appliances == ()
    assert not test.error


def test_weekdays_are_chosen_with_pills(page):
    test = section(page("loads"), "hours")
    test.button_group(key="loads_days_0").set_value([5, 6]).run()
    assert sketch_of(test).loads.appliances[0].days == (False,) * 5 + (True,) * 2


def csv_of_a_year() -> bytes:
    """An hourly meter of 0.4 kWh through the day and 0.8 in the evening."""
    import pandas as pd

    time = pd.date_range("2023-01-01", periods=8760, freq="h")
    kwh = [0.8 if 18 <= stamp.hour < 22 else 0.4 for stamp in time]
    frame = pd.DataFrame({"time": time.strftime("%Y-%m-%d %H:%M"), "kWh": kwh})
    return frame.to_csv(index=False).encode()


def test_a_meter_is_read_reported_and_compared(page, store, no_trouble):
    ref = store.keep_file("meter.csv", csv_of_a_year(), "meter").ref
    base = demo()
    loads = base.loads.model_copy(update={"metered": MeteredLoad(file=ref)})
    test = section(page("loads", base.model_copy(update={"loads": loads})), "meter")
    no_trouble(test)
    assert test.get("plotly_chart")
    assert any("11.2 kWh a day" in text.value for text in test.markdown)  # 20 h × 0.4 + 4 × 0.8
    test.button(key="loads_meter_remove").click().run()
    assert sketch_of(test).loads.metered is None


def test_the_table_is_scaled_to_the_meter(page, store):
    ref = store.keep_file("meter.csv", csv_of_a_year(), "meter").ref
    base = demo()
    loads = base.loads.model_copy(update={"metered": MeteredLoad(file=ref)})
    test = section(page("loads", base.model_copy(update={"loads": loads})), "meter")
    test.button(key="loads_meter_scale").click().run()
    assert sketch_of(test).loads.scale == pytest.approx(11.2 / 6.295, rel=0.02)


def test_a_household_and_the_catalogue_speak_spanish(page, no_trouble):
    test = page("loads", Sketch(site=demo().site), lang="es")
    assert "Casa familiar" in test.selectbox(key="loads_preset").options
    test.selectbox(key="loads_preset").set_value("family_home").run()
    test.button(key="loads_use_preset").click().run()
    key = next(box.key for box in test.multiselect if box.key.startswith("loads_kinds_"))
    test.multiselect(key=key).set_value(["kettle", "wine_cooler"]).run()
    test.button(key="loads_add").click().run()
    no_trouble(test)
    names = [one.name for one in sketch_of(test).loads.appliances]
    assert {"Frigorífico con congelador", "Hervidor de agua", "Vinoteca"} <= set(names)


def test_saving_first_says_that_a_meter_in_place_of_the_table_hides_it(page, store, no_trouble):
    base = demo()
    ref = store.keep_file("meter.csv", csv_of_a_year(), "meter").ref
    for use, hidden in (("replace", True), ("scale_appliances", False)):
        metered = MeteredLoad(file=ref, use=use)
        loads = base.loads.model_copy(update={"metered": metered})
        test = page("loads", base.model_copy(update={"loads": loads}))
        test.session_state["loads_section"] = "saving"
        test.run()
        no_trouble(test)
        assert any("meter" in info.value for info in test.info) is hidden
        assert any(button.key == "compute_saving" for button in test.button) is not hidden


def test_the_peak_names_figures_of_one_moment(page, make_home):
    """Oven 4,000 VA in the morning, pump 1,000 VA with five times as much on top in the evening: a
    pair of machines of 3 kVA, 9 kVA for a start, bears the evening and not the morning."""
    test = section(page("loads", make_home(rated_va=1500, surge_va=4500)), "peak")
    told = "\n".join(said(test))
    assert "At 19:00 Pump may run together: 1 kVA; with Pump starting 6 kVA." in told
    assert "cannot supply the most that runs together (09:00): 4 kVA" in told
    assert "On the lines at that moment: L1 0 VA, L2 1 kVA." in told
    assert "each at a moment of its own, which decides its inverter-charger: L1 4 kVA" in told
    test = section(page("loads", make_home(rated_va=3000, surge_va=4500)), "peak")
    assert "can supply the worst moment (19:00): 1 kVA, 6 kVA with a start" in "\n".join(said(test))
    test = section(page("loads", make_home(rated_va=3000, surge_va=3000, starts=8)), "peak")
    assert "cannot supply the worst moment (19:00): 1 kVA, 8 kVA with a start" in "\n".join(
        said(test)
    )


@pytest.fixture
def make_home():
    def make(rated_va: float, surge_va: float, starts: float = 6) -> Sketch:
        oven = Appliance(
            name="Oven", running_w=4000, windows=(TimeWindow(from_h=9, to_h=10),), leg="L1"
        )
        pump = Appliance(
            name="Pump",
            running_w=1000,
            starting_multiple=starts,
            windows=(TimeWindow(from_h=19, to_h=20),),
            leg="L2",
        )
        base = demo()
        machine = base.equipment.inverter.model_copy(
            update={"rated_va": rated_va, "surge_va": surge_va}
        )
        return base.model_copy(
            update={
                "loads": Loads(appliances=(oven, pump)),
                "equipment": base.equipment.model_copy(update={"inverter": machine}),
                "drawn": Drawn(arrangement="split_phase", inverters=2),
            }
        )

    return make


def test_a_bill_is_entered_as_one_number_or_twelve(page, no_trouble):
    """The farmhouse's appliances take 6.3 kWh a day; 300 kWh a month are 9.86."""
    test = section(page("loads"), "meter")
    box = next(one for one in test.number_input if "bill" in one.key)
    box.set_value(300.0).run()
    no_trouble(test)
    assert sketch_of(test).loads.bill_mean_month_kwh == 300
    told = " ".join(one.value for one in test.markdown)
    assert "9.86" in told
    assert "6.3" in told
    assert not test.warning or "far from" not in test.warning[0].value
    test.button(key="loads_bill_months").click().run()
    no_trouble(test)
    assert sum(sketch_of(test).loads.bill_each_month_kwh) == pytest.approx(3600, rel=1e-3)
    test.button(key="loads_bill_one").click().run()
    assert sketch_of(test).loads.bill_mean_month_kwh == pytest.approx(300, rel=1e-3)
    test.button(key="loads_bill_remove").click().run()
    assert not sketch_of(test).loads.has_bill


def test_a_bill_far_from_the_appliances_is_said(page, no_trouble):
    loads = demo().loads.model_copy(update={"bill_mean_month_kwh": 900.0})
    test = section(page("loads", demo().model_copy(update={"loads": loads})), "meter")
    no_trouble(test)
    assert any("far from the appliances" in one.value for one in test.warning)


def test_what_saves_most_is_counted_without_the_bill(page, no_trouble):
    loads = demo().loads.model_copy(update={"bill_mean_month_kwh": 300.0})
    test = section(page("loads", demo().model_copy(update={"loads": loads})), "saving")
    no_trouble(test)
    assert any("without the bill" in one.value for one in test.caption)
