//! Widths of one-shots against the data sheets' formulas, worked out by hand.

use pulsewright::timing::{PART_TYPES, PartType, charge_time_s};
use pulsewright::units::preferred;

fn part(name: &str) -> &'static PartType {
    PART_TYPES
        .iter()
        .find(|p| p.name == name)
        .unwrap_or_else(|| panic!("there is no part type '{name}'"))
}

fn assert_close(value: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        (value / expected - 1.0).abs() <= relative,
        "{what}: {value} and not {expected}"
    );
}

/// Widths with 10 kohm and 100 nF, for which R C is 1 ms: the width in microseconds is a
/// thousand times the factor.
const WIDTHS_AT_1_MS: [(&str, f64); 11] = [
    // K = 0.45 at 5 V, 0.55 at 2 V: Nexperia 74HC123/74HCT123 Rev. 9 (2015), note [2].
    ("74hc123-5v", 450e-6),
    ("74hc123-2v", 550e-6),
    // 0.32 R C (1 + 0.7 kohm/R) = 0.32 x 1 ms x 1.07: Floyd, Digital Fundamentals, Example 7-12.
    ("74ls122", 342.4e-6),
    // 0.28 R C (1 + 0.7 kohm/R) = 0.28 x 1 ms x 1.07: TI SDLS043 (memory).
    ("74123", 299.6e-6),
    // 0.37 R C: DM74LS123, DS006386 (memory).
    ("74ls123", 370e-6),
    // K = 1: TI SN74AHC123A-EP, SCLS703A.
    ("74ahc123", 1e-3),
    // K = 1: National MM74HC423A.
    ("74hc423", 1e-3),
    // K = 1: Fairchild CD4538BC, DS006000.
    ("4538", 1e-3),
    // K = 0.5: Renesas CD4098BMS.
    ("4098", 500e-6),
    // K = 1.1: NE555 data sheet (memory).
    ("555", 1.1e-3),
    // ln 2 = 0.693147: charging from -V to 0 toward V.
    ("transistors", 693.147e-6),
];

#[test]
fn every_part_type_has_the_width_of_its_data_sheet() {
    for (name, width_s) in WIDTHS_AT_1_MS {
        assert_close(part(name).width_s(10e3, 100e-9), width_s, 1e-6, name);
    }
    assert_eq!(WIDTHS_AT_1_MS.len(), PART_TYPES.len());
}

#[test]
fn the_resistor_is_the_inverse_of_the_width() {
    for (name, width_s) in WIDTHS_AT_1_MS {
        let r_ohm = part(name).resistor_ohm(width_s, 100e-9).unwrap();
        assert_close(r_ohm, 10e3, 1e-6, name);
    }
    // 0.32 x 700 ohm x 1 uF = 224 us is what the part's own resistance makes already.
    assert_eq!(part("74ls122").resistor_ohm(200e-6, 1e-6), None);
}

/// Floyd, Digital Fundamentals, Example 7-12: 1 us with 560 pF needs 4.88 kohm; the standard
/// value is 4.7 kohm (IEC 60063, E12 and E24).
#[test]
fn the_worked_example_of_the_74ls122() {
    let r_ohm = part("74ls122").resistor_ohm(1e-6, 560e-12).unwrap();
    assert_eq!(format!("{:.2}", r_ohm / 1e3), "4.88");
    assert_eq!(preferred::nearest(&preferred::E12, r_ohm), Some(4700.0));
    assert_eq!(preferred::nearest(&preferred::E24, r_ohm), Some(4700.0));
}

/// The law of charging, dv/dt = (v1 - v)/RC, integrated step by step (classical Runge-Kutta).
fn integrated_s(r_ohm: f64, c_farad: f64, v0: f64, v1: f64, vt: f64) -> f64 {
    let rc_s = r_ohm * c_farad;
    let step_s = rc_s / 1e4;
    let slope = |v: f64| (v1 - v) / rc_s;
    let (mut v, mut t_s) = (v0, 0.0);
    loop {
        let k1 = slope(v);
        let k2 = slope(v + step_s / 2.0 * k1);
        let k3 = slope(v + step_s / 2.0 * k2);
        let k4 = slope(v + step_s * k3);
        let next = v + step_s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
        if (v < vt) != (next < vt) {
            return t_s + step_s * (vt - v) / (next - v);
        }
        (v, t_s) = (next, t_s + step_s);
    }
}

#[test]
fn the_charging_formula_solves_the_charging_law() {
    for (v0, v1, vt) in [
        (0.0, 5.0, 2.0),
        (5.0, 0.0, 1.0),
        (-5.0, 5.0, 0.0),
        (1.2, 12.0, 8.0),
    ] {
        let formula_s = charge_time_s(22e3, 100e-9, v0, v1, vt);
        let solved_s = integrated_s(22e3, 100e-9, v0, v1, vt);
        assert_close(formula_s, solved_s, 1e-6, "charging time");
    }
}

/// Thresholds of two timing circuits and the logarithms that follow: a 555 charges from 0 to 2/3
/// of its supply (ln 3, printed as 1.1); a transistor pair from -V through 0 toward V (ln 2).
#[test]
fn thresholds_give_the_printed_factors() {
    assert_close(
        charge_time_s(1e3, 1e-6, 0.0, 9.0, 6.0),
        1.0986e-3,
        1e-4,
        "ln 3",
    );
    assert_close(
        charge_time_s(1e3, 1e-6, -9.0, 9.0, 0.0),
        693.15e-6,
        1e-4,
        "ln 2",
    );
}
