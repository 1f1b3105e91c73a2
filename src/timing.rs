//! How long a one-shot holds: timing resistor times timing capacitor times a timing factor.
//!
//! A node that charges through R into C from `V0` toward `V1` crosses `Vt` after
//! `R C ln((V1 - V0)/(V1 - Vt))` ([`charge_time_s`]); every timing factor below is that
//! logarithm, as its data sheet states it.

/// Time in seconds for an RC node to charge from `v0` toward `v1` and cross `vt`.
///
/// Positive and finite only where `vt` lies between `v0` and `v1`. Source: follows from
/// `v(t) = v1 + (v0 - v1) exp(-t/RC)`.
pub fn charge_time_s(r_ohm: f64, c_farad: f64, v0: f64, v1: f64, vt: f64) -> f64 {
    r_ohm * c_farad * ((v1 - v0) / (v1 - vt)).ln()
}

/// A kind of one-shot with its published timing formula `width = factor R C (1 + series / R)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartType {
    /// The word for it on the command line.
    pub name: &'static str,
    /// What it is.
    pub about: &'static str,
    /// Timing factor, without dimension.
    pub factor: f64,
    /// The resistance in ohms that the part itself adds, 0 for most.
    pub series_ohm: f64,
    /// The least timing capacitor in farads for which the formula is stated, 0 where none is.
    pub least_farad: f64,
    /// Where formula and figures stand.
    pub source: &'static str,
}

impl PartType {
    /// Width in seconds with timing resistor `r_ohm` and timing capacitor `c_farad`.
    pub fn width_s(&self, r_ohm: f64, c_farad: f64) -> f64 {
        self.factor * (r_ohm + self.series_ohm) * c_farad
    }

    /// Timing resistor in ohms that gives `width_s` with `c_farad`; `None` where no positive one
    /// does.
    pub fn resistor_ohm(&self, width_s: f64, c_farad: f64) -> Option<f64> {
        let r = width_s / (self.factor * c_farad) - self.series_ohm;
        (r > 0.0 && r.is_finite()).then_some(r)
    }

    /// Timing capacitor in farads that gives `width_s` with `r_ohm`.
    pub fn capacitor_farad(&self, width_s: f64, r_ohm: f64) -> f64 {
        width_s / (self.factor * (r_ohm + self.series_ohm))
    }

    /// Whether the formula is stated for a timing capacitor.
    pub fn is_stated_for(&self, c_farad: f64) -> bool {
        // A preferred number is not exact in binary.
        c_farad >= self.least_farad * (1.0 - 1e-9)
    }
}

/// The part types with a published timing factor.
pub const PART_TYPES: [PartType; 11] = [
    PartType {
        name: "74hc123-5v",
        about: "'123 HC/HCT CMOS at 5 V, C over 10 nF; not surer than 20 %",
        factor: 0.45,
        series_ohm: 0.0,
        least_farad: 10e-9,
        source: "Nexperia 74HC123/74HCT123 Rev. 9 (2015), note [2]",
    },
    PartType {
        name: "74hc123-2v",
        about: "'123 HC/HCT CMOS at 2 V, C over 10 nF; not surer than 20 %",
        factor: 0.55,
        series_ohm: 0.0,
        least_farad: 10e-9,
        source: "Nexperia 74HC123/74HCT123 Rev. 9 (2015), note [2]",
    },
    PartType {
        name: "74ls122",
        about: "'122 LS TTL",
        factor: 0.32,
        series_ohm: 700.0,
        least_farad: 0.0,
        source: "Floyd, Digital Fundamentals, Example 7-12",
    },
    PartType {
        name: "74123",
        about: "'123 TTL",
        factor: 0.28,
        series_ohm: 700.0,
        least_farad: 0.0,
        source: "TI SN54/74123 data sheet SDLS043 (from memory)",
    },
    PartType {
        name: "74ls123",
        about: "'123 LS TTL, C from 1 nF",
        factor: 0.37,
        series_ohm: 0.0,
        least_farad: 1e-9,
        source: "DM74LS123 data sheet DS006386 (from memory)",
    },
    PartType {
        name: "74ahc123",
        about: "'123 AHC CMOS, C from 1 nF",
        factor: 1.0,
        series_ohm: 0.0,
        least_farad: 1e-9,
        source: "TI SN74AHC123A-EP, SCLS703A",
    },
    PartType {
        name: "74hc423",
        about: "'423 HC CMOS",
        factor: 1.0,
        series_ohm: 0.0,
        least_farad: 0.0,
        source: "National MM74HC423A data sheet",
    },
    PartType {
        name: "4538",
        about: "4538 CMOS; part to part about 1 %",
        factor: 1.0,
        series_ohm: 0.0,
        least_farad: 0.0,
        source: "Fairchild CD4538BC, DS006000",
    },
    PartType {
        name: "4098",
        about: "4098 CMOS, C from 10 nF",
        factor: 0.5,
        series_ohm: 0.0,
        least_farad: 10e-9,
        source: "Renesas CD4098BMS data sheet",
    },
    PartType {
        name: "555",
        about: "555 timer; not retriggerable by itself",
        factor: 1.1,
        series_ohm: 0.0,
        least_farad: 0.0,
        source: "NE555 data sheet (from memory); ln 3 from its 2/3 V threshold",
    },
    PartType {
        name: "transistors",
        about: "cross-coupled transistor pair, ideal switches",
        factor: std::f64::consts::LN_2,
        series_ohm: 0.0,
        least_farad: 0.0,
        source: "ln 2: charging from -V through 0 toward V",
    },
];
